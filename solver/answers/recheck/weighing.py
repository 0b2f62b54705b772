"""The lines of an answer weighed from their words, and how the brief wants each measured."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from models.exact import exact
from models.formula import FormulaLine
from models.ingredient import Ingredient
from models.measures import Amount, MeasureSystem, Part
from models.outcome import OutcomeLine
from models.pantry import fold, known_pantry
from solver.answers.recheck.words import (
    MILLILITRES_IN_A_CUP,
    SPOONS_ML,
    TEASPOONS,
    Kind,
    Said,
    UnreadableMeasure,
    is_scoopable,
    read_measure,
)


@dataclass(frozen=True)
class RecheckedLine:
    """One line of the answer: as shown, as it starts, how it must be measured, what it weighs.

    `said` are the terms of its words, none where it stays as it is written.
    """

    shown: OutcomeLine
    before: FormulaLine
    kind: Kind
    said: list[Said]
    amount: Amount

    @property
    def grams(self) -> Fraction:
        """Grams of the line, from its words."""
        return self.amount.grams

    @property
    def moved(self) -> bool:
        """Whether the answer says that it moved."""
        return self.shown.moved


def weigh_again(
    shown: OutcomeLine, before: FormulaLine, kind: Kind, *, in_batch: bool
) -> RecheckedLine:
    """Return a line weighed from its words; raise UnreadableMeasure."""
    if shown.after is None:
        raise UnreadableMeasure(f"{shown.ingredient} has no amount after")
    if not shown.moved and (before.is_mixed or not (in_batch and before.grams)):
        return RecheckedLine(shown, before, kind, [], before.amount)
    said = read_measure(shown.after.measure)
    if kind == "pieces" and not shown.moved and [term.unit for term in said] == ["g"]:
        kind = "scale"  # beaten egg
    parts = [_part(term, before) for term in said]
    amount = Amount(tuple(parts) or (Part(before.ingredient, Fraction(0)),), ())
    return RecheckedLine(shown, before, kind, said, amount)


def kind_of(line: FormulaLine, system: MeasureSystem, mostly: str) -> Kind:
    """Return how a line must be measured; `mostly` is how most lines are written."""
    if line.role == "egg" and line.ingredient.grams_per_unit is not None:
        return "pieces"
    by_volume = cup_grams(line) is not None
    spooned = line.role in {"leavener", "salt", "flavour"}
    way = {"us": "cups", "metric": "metric", "scale": "g"}.get(system)
    way = way or written_by(line) or mostly
    if way == "metric":
        if not by_volume or not (spooned or line.role == "liquid"):
            return "whole_grams"
        return "spoons_ml" if spooned else "jug"
    if way == "g" or not by_volume:
        return "scale"
    return "cups" if way == "cups" else "spoons_ml" if spooned else "jug"


def written_by(line: FormulaLine) -> str | None:
    """Return whether a line is written in "g", "ml" or "cups"; None for pieces and for nothing."""
    units = {term.unit for term in line.amount.volume or line.amount.terms}
    if units & {"g", "kg", "oz", "lb"}:
        return "g"
    if units & {"ml", "l", *SPOONS_ML}:
        return "ml"
    return "cups" if units & {"cup", "tbsp", "tsp", "fl_oz"} else None


def mostly_written_by(lines: Sequence[FormulaLine]) -> str:
    """Return how most lines are written, the first of equals."""
    ways = [way for line in lines if line.role != "egg" and (way := written_by(line))]
    return Counter(ways).most_common(1)[0][0] if ways else "cups"


_CUPS = {unit: teaspoons / 48 for unit, teaspoons in TEASPOONS.items()}
_CUPS |= {"fl_oz": Fraction(1, 8), "ml": 1 / MILLILITRES_IN_A_CUP, "l": 1000 / MILLILITRES_IN_A_CUP}


def cup_grams(line: FormulaLine) -> Fraction | None:
    """Return what a cup of the line weighs: as it says itself, or as the table does."""
    ingredient = line.ingredient
    beside = sum((t.quantity * _CUPS[t.unit] for t in line.amount.volume), Fraction(0))
    if beside:
        return line.amount.grams / beside
    if ingredient.grams_per_teaspoon is not None:
        return 48 * exact(ingredient.grams_per_teaspoon)
    return None if ingredient.grams_per_cup is None else exact(ingredient.grams_per_cup)


def measurable_near(line: RecheckedLine) -> Iterator[Fraction]:
    """Yield the measurable grams as near to the start of a line as what was taken for it."""
    start = line.before.grams
    off, cup = abs(line.grams - start), cup_grams(line.before)
    low, high = start - off, start + off
    match line.kind:
        case "cups" if cup is not None:
            for grams in _multiples(cup / 384, low, high):
                if is_scoopable(48 * grams / cup):
                    yield grams
        case "jug" if cup is not None:
            yield from _multiples(5 / MILLILITRES_IN_A_CUP * cup, low, high)
        case "spoons_ml" if cup is not None:
            yield from _multiples(Fraction(5, 4) / MILLILITRES_IN_A_CUP * cup, low, high)
        case "pieces":
            yield from _piece_grams(line.before.ingredient, high)
        case "scale":
            yield from (g for g in _multiples(Fraction(1, 10), low, high) if g < 20 or not g % 1)
        case "whole_grams" | "cups" | "jug" | "spoons_ml":
            yield from _multiples(Fraction(1), low, high)
        case _:
            assert_never(line.kind)


def _multiples(step: Fraction, low: Fraction, high: Fraction) -> Iterator[Fraction]:
    return (n * step for n in range(max(1, -int(-low // step)), int(high // step) + 1))


def _part(term: Said, line: FormulaLine) -> Part:
    ingredient, (quantity, unit), cup = line.ingredient, term, cup_grams(line)
    if unit == "g":
        return Part(ingredient, quantity)
    if unit in TEASPOONS and cup is not None:
        return Part(ingredient, quantity * TEASPOONS[unit] / 48 * cup)
    if unit in {"ml", *SPOONS_ML} and cup is not None:
        return Part(ingredient, quantity * SPOONS_ML.get(unit, 1) / MILLILITRES_IN_A_CUP * cup)
    return _piece(term, ingredient)


def _piece(term: Said, ingredient: Ingredient) -> Part:
    own = fold(ingredient.unit_name or "piece")
    if fold(term.unit) == own and ingredient.grams_per_unit is not None:
        return Part(ingredient, term.quantity * exact(ingredient.grams_per_unit))
    grams = {"yolk": ingredient.yolk_grams, "white": ingredient.white_grams}.get(term.unit)
    separated = known_pantry().find(f"egg {term.unit}")
    if grams is None or separated is None:
        raise UnreadableMeasure(f"{ingredient.name} does not come in {term.unit}")
    return Part(separated, term.quantity * exact(grams))


def _piece_grams(ingredient: Ingredient, high: Fraction) -> Iterator[Fraction]:
    each = exact(ingredient.grams_per_unit or 1)
    extras = [Fraction(0)]
    extras += [exact(g) for g in (ingredient.yolk_grams, ingredient.white_grams) if g is not None]
    for count in range(int(high // each) + 1):
        yield from (count * each + extra for extra in extras)
