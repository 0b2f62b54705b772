"""A dough that needs no change, and ways to tamper with an answer.

Each takes an answer and returns it with something else in it.
"""

import json
from collections.abc import Callable

from models.measures import Scoop
from models.outcome import Outcome, OutcomeLine
from solver.answers.recheck.promises import Promises
from tests.conftest import brief_of

FLOUR, BUTTER, SUGAR, SODA, EGG, SALT = range(6)

DOUGH = [
    ("all-purpose flour", 400, "g"),
    ("unsalted butter", 200, "g"),
    ("granulated sugar", 1, "cup"),
    ("baking soda", 2, "tsp"),
    ("egg", 2, "each"),
    ("salt", 0.5, "tsp"),
]


def dough(lines=DOUGH, **members):
    """Return a brief that needs no change, unless a member of it does."""
    written = [{"ingredient": i, "quantity": q, "unit": u} for i, q, u in lines]
    return brief_of({"recipe": {"lines": written}, "window": {}, **members})


def faults(brief, outcome: Outcome) -> list[str]:
    return list(Promises(brief, outcome).faults())


def line(k: int, **members) -> Callable[[Outcome], Outcome]:
    def tampered(outcome: Outcome) -> Outcome:
        lines = list(outcome.lines)
        lines[k] = lines[k].model_copy(update=members)
        return outcome.model_copy(update={"lines": tuple(lines)})

    return tampered


def after(k: int, **members) -> Callable[[Outcome], Outcome]:
    def tampered(outcome: Outcome) -> Outcome:
        return line(k, after=outcome.lines[k].after.model_copy(update=members))(outcome)

    return tampered


def whole(**members) -> Callable[[Outcome], Outcome]:
    return lambda outcome: outcome.model_copy(update=members)


def inside(part: str, **members) -> Callable[[Outcome], Outcome]:
    return lambda outcome: outcome.model_copy(
        update={part: getattr(outcome, part).model_copy(update=members)}
    )


def ratio(side: str, name: str, value: float | None) -> Callable[[Outcome], Outcome]:
    def tampered(outcome: Outcome) -> Outcome:
        ratios = getattr(outcome.ratios, side).model_copy(update={name: value})
        return inside("ratios", **{side: ratios})(outcome)

    return tampered


def scoops(*filled: tuple[int, str]) -> tuple[Scoop, ...]:
    return tuple(Scoop(quantity=quantity, unit=unit) for quantity, unit in filled)


def moved(k: int, measure: str, grams: float, *filled: tuple[int, str]):
    """Move a line, with its words, grams, change and reason in keeping with one another."""

    def tampered(outcome: Outcome) -> Outcome:
        start = outcome.lines[k].before.grams
        outcome = line(
            k, moved=True, reason="because", change_percent=100 * (grams - start) / start
        )(outcome)
        return after(k, measure=measure, grams=grams, scoops=scoops(*filled))(outcome)

    return tampered


def added(name: str, role: str, measure: str, grams: float, *filled):
    """Add a line at the end, as an answer shows it."""
    shown = {
        "ingredient": name,
        "role": role,
        "before": {"grams": 0.0, "measure": "none"},
        "after": {
            "grams": grams,
            "measure": measure,
            "scoops": [{"quantity": q, "unit": u} for q, u in filled],
        },
        "moved": measure != "none",
        "change_percent": None,
        "reason": "because" if measure != "none" else None,
    }
    new = OutcomeLine.model_validate_json(json.dumps(shown))
    return lambda outcome: whole(lines=(*outcome.lines, new))(outcome)


def window(name, **members):
    """Tamper with what is shown of a bound."""

    def tampered(outcome):
        bound = outcome.window[name].model_copy(update=members)
        return whole(window={**outcome.window, name: bound})(outcome)

    return tampered


def both(*tampers):
    def tampered(outcome):
        for each in tampers:
            outcome = each(outcome)
        return outcome

    return tampered
