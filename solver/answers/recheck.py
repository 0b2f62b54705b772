"""The re-check: an answer judged by plain exact arithmetic, from its own words.

It reads the measures of the answer as a baker would, weighs them again as fractions, and holds the
result against the brief. It knows nothing of the program that found the answer, and must not.
"""

import re
from collections.abc import Iterator
from fractions import Fraction

from models.brief import DEFAULT_WEIGHTS, Brief
from models.errors import RecheckFailed
from models.exact import exact
from models.formula import FormulaLine
from models.ingredient import Ingredient
from models.limits import ChangeLimit, CrackLimit, RatioLimit
from models.measures import (
    CUPS_PER,
    GRAMS_PER,
    METRIC_SPOONS,
    ML_PER_CUP,
    Amount,
    Part,
    Scoop,
)
from models.outcome import Outcome, OutcomeLine
from models.pantry import pantry
from models.ratios import add_masses, masses_of
from solver.search.judging import Weighed

COST_ROUNDING = 1e-9
"""A cost is shown as a float; it may differ from the exact one by its last digits only."""


def recheck(brief: Brief, outcome: Outcome) -> Outcome:
    """Return `outcome` if it keeps every promise to `brief`; raise RecheckFailed if not."""
    if outcome.cost is not None:
        broken = list(_broken_promises(brief, outcome))
        if broken:
            raise RecheckFailed("; ".join(broken))
    return outcome


def _broken_promises(brief: Brief, outcome: Outcome) -> Iterator[str]:
    before = _before(brief, len(outcome.lines), outcome)
    amounts = [_weigh(line, old, brief) for line, old in zip(outcome.lines, before, strict=True)]
    masses = add_masses(masses_of(amount, brief.powder_strength) for amount in amounts)
    if not masses.flour:
        yield "no flour is left"
    for line, amount in zip(outcome.lines, amounts, strict=True):
        yield from _line_faults(line, amount, brief)
    for limit in brief.named_limits():
        if isinstance(limit, RatioLimit) and not limit.holds(masses):
            yield f"{limit.name} does not hold"
        if isinstance(limit, CrackLimit) and not Weighed(
            tuple(amounts), brief.powder_strength
        ).keeps(limit):
            yield f"{limit.name} does not hold"
        if isinstance(limit, ChangeLimit):
            yield from _change_faults(limit, outcome, amounts, before)
    yield from _cost_faults(brief, outcome, amounts, before)


def _before(brief: Brief, count: int, outcome: Outcome) -> list[FormulaLine]:
    formula = brief.formula
    written = list(formula.times(brief.batch_factor).lines)
    shelf = brief.recipe.shelf
    for line in outcome.lines[len(written) : count]:
        ingredient = shelf.find(line.ingredient)
        if ingredient is None:
            raise RecheckFailed(f"{line.ingredient} is no known ingredient")
        written.append(FormulaLine(ingredient, Amount((Part(ingredient, Fraction(0)),), ())))
    return written


def _weigh(line: OutcomeLine, before: FormulaLine, brief: Brief) -> Amount:
    """Return the exact amount that the answer's words stand for."""
    if not line.moved and brief.batch is None:
        return before.amount
    assert line.after is not None
    parts = [_part(term, before.ingredient) for term in _terms(line.after.measure)]
    return Amount(tuple(parts) or (Part(before.ingredient, Fraction(0)),), ())


def _terms(measure: str) -> list[tuple[Fraction, str]]:
    if measure == "none":
        return []
    terms = []
    for words in measure.split(" + "):
        found = re.fullmatch(r"(?:(\d+) )?(\d+(?:/\d+|\.\d+)?) (?:x )?(.+)", words)
        if found is None:
            raise RecheckFailed(f'"{measure}" is no measure')
        whole, rest, unit = found.groups()
        terms.append((int(whole or 0) + Fraction(rest), unit))
    return terms


def _part(term: tuple[Fraction, str], ingredient: Ingredient) -> Part:
    quantity, unit = term
    if unit in GRAMS_PER:
        return Part(ingredient, quantity * GRAMS_PER[unit])
    if unit in METRIC_SPOONS or unit in CUPS_PER or unit == "cups":
        cups = (
            METRIC_SPOONS[unit] / ML_PER_CUP
            if unit in METRIC_SPOONS
            else CUPS_PER[unit.rstrip("s")]
        )
        if ingredient.cup_grams is None:
            raise RecheckFailed(f"{ingredient.name} has no cup weight")
        return Part(ingredient, quantity * cups * ingredient.cup_grams)
    return _piece(quantity, unit, ingredient)


def _piece(count: Fraction, unit: str, ingredient: Ingredient) -> Part:
    own = ingredient.unit_name or "piece"
    if unit in {own, f"{own}s"} and ingredient.grams_per_unit is not None:
        return Part(ingredient, count * exact(ingredient.grams_per_unit))
    grams = {"yolk": ingredient.yolk_grams, "white": ingredient.white_grams}.get(unit)
    separated = pantry().find(f"egg {unit}")
    if grams is None or separated is None:
        raise RecheckFailed(f"{ingredient.name} does not come in {unit}")
    return Part(separated, count * exact(grams))


def _line_faults(line: OutcomeLine, amount: Amount, brief: Brief) -> Iterator[str]:
    assert line.after is not None
    if float(amount.grams) != line.after.grams:
        yield f"{line.ingredient}: {line.after.measure} is not {line.after.grams} g"
    if line.moved or brief.batch:
        filled = sum(map(_filling_size, line.after.scoops), Fraction(0))
        measured = sum((_term_size(term) for term in _terms(line.after.measure)), Fraction(0))
        if line.after.scoops and filled != measured:
            yield f"{line.ingredient}: the fillings do not add up to {line.after.measure}"


def _filling_size(scoop: Scoop) -> Fraction:
    size, _, unit = scoop.unit.rpartition(" ")
    if scoop.unit in METRIC_SPOONS:
        return scoop.quantity * METRIC_SPOONS[scoop.unit] / ML_PER_CUP
    if unit in CUPS_PER:
        return scoop.quantity * Fraction(size or 1) * CUPS_PER[unit]
    return Fraction(scoop.quantity)


def _term_size(term: tuple[Fraction, str]) -> Fraction:
    quantity, unit = term
    if unit in METRIC_SPOONS:
        return quantity * METRIC_SPOONS[unit] / ML_PER_CUP
    return quantity * CUPS_PER.get(unit.removesuffix("s"), Fraction(1))


def _change_faults(
    limit: ChangeLimit, outcome: Outcome, amounts: list[Amount], before: list[FormulaLine]
) -> Iterator[str]:
    for k in limit.positions:
        if not outcome.lines[k].moved:
            continue
        change = abs(amounts[k].grams - before[k].grams)
        if 100 * change > limit.percent * before[k].grams:
            yield f"{limit.name} does not hold"


def _cost_faults(
    brief: Brief, outcome: Outcome, amounts: list[Amount], before: list[FormulaLine]
) -> Iterator[str]:
    assert outcome.cost is not None
    flour = sum((line.grams for line in before if line.role == "flour"), Fraction(0))
    total = Fraction(0)
    for line, amount, old in zip(outcome.lines, amounts, before, strict=True):
        if not line.moved or line.after is None:
            continue
        weight = brief.weights.get(line.role, DEFAULT_WEIGHTS.get(line.role))
        if weight is None:
            yield f"{line.ingredient} moved, but its role does not"
            continue
        fillings = sum(scoop.quantity for scoop in line.after.scoops)
        change = abs(amount.grams - old.grams) / (old.grams or flour / 20)
        total += exact(weight) * change + Fraction(1, 20) + Fraction(fillings, 250)
    if abs(float(total) - outcome.cost.total) > COST_ROUNDING:
        yield f"the cost is {float(total)}, not {outcome.cost.total}"
