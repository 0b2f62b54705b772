"""Measures: units, terms such as "3 1/2 cups", the fillings that make them up, and their words.

Volumes are US customary (NIST): 1 cup = 16 tbsp = 48 tsp = 8 fluid ounces = 236.588 mL. One density
an ingredient turns volume into grams. Which amounts a person can scoop within a range is the
business of `solver.search.rack`; what a line of text means is the business of `models.reading`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from models.exact import exact
from models.ingredient import Ingredient
from models.value import Value

Unit = Literal["g", "kg", "oz", "lb", "ml", "l", "tsp", "tbsp", "cup", "fl_oz", "each"]
"""The units of a structured recipe line."""

MeasureSystem = Literal["as_written", "us", "metric", "scale"]
"""Each line as it is written; cups and spoons; millilitre spoons, jugs and whole grams; or the
scale alone."""

LineStyle = Literal["cups", "millilitres", "scale"]
"""How a line is written: by cups and spoons, by millilitres or by weight."""

ML_PER_CUP = Fraction(236588, 1000)  # NIST: 236.588 mL
CUPS_PER = {
    "cup": Fraction(1),
    "tbsp": Fraction(1, 16),
    "tsp": Fraction(1, 48),
    "fl_oz": Fraction(1, 8),
    "ml": 1 / ML_PER_CUP,
    "l": 1000 / ML_PER_CUP,
}
"""US cups in one of each unit of volume."""

GRAMS_PER = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "oz": Fraction("28.349523125"),  # the international avoirdupois ounce, exact
    "lb": Fraction("453.59237"),
}
"""Grams in one of each unit of weight."""

METRIC_SPOONS = {
    "15 ml": Fraction(15),
    "5 ml": Fraction(5),
    "2.5 ml": Fraction(5, 2),
    "1.25 ml": Fraction(5, 4),
}
"""Millilitres in each spoon of a metric set, largest first."""

EGG_PIECES = ("egg", "yolk", "white")
_NEVER_PLURAL = {*GRAMS_PER, "ml", "l", "tbsp", "tsp", "fl_oz", *METRIC_SPOONS}

_FRACTION_FILLINGS: dict[str, dict[Fraction, tuple[tuple[int, Fraction], ...]]] = {
    "cup": {
        Fraction(1, 4): ((1, Fraction(1, 4)),),
        Fraction(1, 3): ((1, Fraction(1, 3)),),
        Fraction(1, 2): ((1, Fraction(1, 2)),),
        Fraction(2, 3): ((2, Fraction(1, 3)),),
        Fraction(3, 4): ((1, Fraction(1, 2)), (1, Fraction(1, 4))),
    },
    "tbsp": {Fraction(1, 2): ((1, Fraction(1, 2)),)},
    "tsp": {
        Fraction(1, 8): ((1, Fraction(1, 8)),),
        Fraction(1, 4): ((1, Fraction(1, 4)),),
        Fraction(1, 2): ((1, Fraction(1, 2)),),
        Fraction(3, 4): ((1, Fraction(1, 2)), (1, Fraction(1, 4))),
    },
}
"""How the fraction of a measure is filled: two thirds of a cup is the third twice."""


class Scoop(Value):
    """Fillings of one measure: `quantity` times the cup, spoon or piece named by `unit`."""

    quantity: int
    unit: str


@dataclass(frozen=True, slots=True)
class Term:
    """One number with its unit, as a person says it: 3 1/2 cups."""

    quantity: Fraction
    unit: str

    def times(self, factor: Fraction) -> "Term":
        """Return this term scaled by `factor`."""
        return Term(self.quantity * factor, self.unit)


@dataclass(frozen=True, slots=True)
class Part:
    """Grams of one ingredient within an amount; an amount of egg and yolk has two parts."""

    ingredient: Ingredient
    grams: Fraction

    def times(self, factor: Fraction) -> "Part":
        """Return this part scaled by `factor`."""
        return Part(self.ingredient, self.grams * factor)


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of a line: the exact grams that count, and the terms a person reads and scoops.

    `volume` is what the line gives beside its weight: 1 cup of "227 g (1 cup)".
    """

    parts: tuple[Part, ...]
    terms: tuple[Term, ...]
    volume: tuple[Term, ...] = ()

    @property
    def grams(self) -> Fraction:
        """Grams as weighed, all parts together."""
        first, *others = self.parts  # nearly always one part: spared an addition of fractions
        return sum((part.grams for part in others), first.grams)

    @property
    def own_cup_grams(self) -> Fraction | None:
        """What a cup of it weighs where the line itself gives both weight and volume."""
        cups = sum((term.quantity * CUPS_PER[term.unit] for term in self.volume), Fraction(0))
        return self.grams / cups if cups else None

    @property
    def measure(self) -> str:
        """The amount in words, "none" for nothing."""
        return " + ".join(words(term) for term in self.terms if term.quantity) or "none"

    @property
    def scoops(self) -> tuple[Scoop, ...]:
        """The fillings that make up the amount; none for an amount by weight or jug."""
        return fillings(self.terms)

    def and_part(self, part: Part) -> "Amount":
        """Return this amount with grams of another ingredient in it, unmeasured."""
        return Amount((*self.parts, part), self.terms, self.volume)

    def times(self, factor: Fraction) -> "Amount":
        """Return this amount scaled by `factor`, as terms that may no longer be measurable."""
        return Amount(
            tuple(part.times(factor) for part in self.parts),
            tuple(term.times(factor) for term in self.terms),
            tuple(term.times(factor) for term in self.volume),
        )


def style_of(amount: Amount) -> LineStyle | None:
    """Return how `amount` is written, None where it is in pieces or has no measure.

    A weight among its terms makes it weighed, unless a volume stands beside it.
    """
    units = {term.unit for term in amount.volume or amount.terms}
    if units & GRAMS_PER.keys():
        return "scale"
    if units & {"ml", "l", *METRIC_SPOONS}:
        return "millilitres"
    return "cups" if units & CUPS_PER.keys() else None


def grams_of(quantity: Fraction, unit: str, ingredient: Ingredient) -> Fraction | None:
    """Return the grams of `quantity` `unit` of `ingredient`.

    None where the ingredient has no cup weight (for a volume) or no piece weight (for "each").
    """
    if unit in GRAMS_PER:
        return quantity * GRAMS_PER[unit]
    if unit in CUPS_PER:
        per_cup = ingredient.cup_grams
        return None if per_cup is None else quantity * CUPS_PER[unit] * per_cup
    per_piece = ingredient.grams_per_unit
    return None if per_piece is None else quantity * exact(per_piece)


def fillings(terms: Iterable[Term]) -> tuple[Scoop, ...]:
    """Return the fillings of `terms`, or none at all where one of them is not scooped."""
    scoops: list[Scoop] = []
    for term in terms:
        filled = _fill(term)
        if filled is None:
            return ()
        scoops.extend(filled)
    return tuple(scoops)


def _fill(term: Term) -> list[Scoop] | None:
    whole, rest = divmod(term.quantity, 1)
    if term.unit in _FRACTION_FILLINGS:
        if rest and rest not in _FRACTION_FILLINGS[term.unit]:
            return None
        scoops = [Scoop(quantity=int(whole), unit=term.unit)] if whole else []
        for count, size in _FRACTION_FILLINGS[term.unit].get(rest, ()):
            scoops.append(Scoop(quantity=count, unit=f"{size} {term.unit}"))
        return scoops
    if term.unit in METRIC_SPOONS or term.unit in EGG_PIECES:
        if rest:
            return None
        unit = "each" if term.unit == "egg" else term.unit
        return [Scoop(quantity=int(whole), unit=unit)] if whole else []
    return None


def words(term: Term) -> str:
    """Return a term as a person reads it: "3 1/2 cups", "227 g", "1 x 15 ml"."""
    number = number_words(term.quantity, by_weight=term.unit in {*GRAMS_PER, "ml", "l"})
    if term.unit in METRIC_SPOONS:
        return f"{number} x {term.unit}"
    unit = term.unit.replace("_", " ")
    plural = term.quantity > 1 and term.unit not in _NEVER_PLURAL
    return f"{number} {unit}{'s' if plural else ''}"


def number_words(number: Fraction, *, by_weight: bool = False) -> str:
    """Return a number in a cook's words: mixed fractions for spoons, decimals for the scale.

    Fractions finer than a sixteenth are no measure a person owns, so they too are written as
    decimals, to three places.
    """
    if number.denominator == 1:
        return str(number)
    if by_weight or number.denominator not in {2, 3, 4, 6, 8, 12, 16}:
        shown = f"{float(number):.3g}" if number < 1 else f"{float(number):.3f}"
        return shown.rstrip("0").rstrip(".") if "." in shown and "e" not in shown else shown
    whole, rest = divmod(number, 1)
    return f"{whole} {rest}" if whole else str(rest)
