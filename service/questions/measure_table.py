"""The measures as a table: units and their sizes, and what each system lets a person scoop.

Everything here is read off `models.measures`; the amounts themselves are `solver.search.rack`.
"""

from fractions import Fraction

from models.measures import (
    CUPS_PER,
    GRAMS_PER,
    METRIC_SPOONS,
    ML_PER_CUP,
    MeasureSystem,
    Scoop,
    Term,
    fillings,
    number_words,
    words,
)
from models.value import Value


class WeightUnit(Value):
    """A unit of weight."""

    unit: str
    grams: float


class VolumeUnit(Value):
    """A US customary or metric unit of volume."""

    unit: str
    cups: float
    millilitres: float


class Filled(Value):
    """A part of a measure, and the fillings that make it up."""

    measure: str
    scoops: tuple[Scoop, ...]


class MeasureRules(Value):
    """One system of measures: what may be scooped in it, and how amounts are written."""

    system: MeasureSystem
    rules: tuple[str, ...]
    parts: tuple[Filled, ...]
    example: str


class MeasureTable(Value):
    """Every unit of a recipe line, and the systems of measures."""

    weight: tuple[WeightUnit, ...]
    volume: tuple[VolumeUnit, ...]
    notes: tuple[str, ...]
    systems: tuple[MeasureRules, ...]


def measure_table() -> MeasureTable:
    """Return the table."""
    return MeasureTable(
        weight=tuple(WeightUnit(unit=u, grams=float(g)) for u, g in GRAMS_PER.items()),
        volume=tuple(
            VolumeUnit(unit=u, cups=float(cups), millilitres=float(cups * ML_PER_CUP))
            for u, cups in CUPS_PER.items()
        ),
        notes=(
            "Cups and spoons are US customary: a cup is 16 tablespoons, 48 teaspoons and "
            f"{float(ML_PER_CUP):g} millilitres.",
            "One density an ingredient: its weight by cup is 16 times that by tablespoon and 48 "
            "times that by teaspoon.",
            "The unit each is one piece: an egg, a stick, a packet.",
            *_EGG_RULES,
        ),
        systems=(_as_written(), _us(), _metric(), _scale()),
    )


_EGG_RULES = (
    "Eggs, in every system, are wholes plus at most one yolk or one white; each piece is one "
    "scoop. Yolks and whites of their own move in whole pieces.",
    'A line that goes to nothing has the measure "none".',
)


def _as_written() -> MeasureRules:
    return MeasureRules(
        system="as_written",
        rules=(
            "Each line comes back the way it is written: by weight, by cups and spoons, or by "
            "millilitres.",
            "A line written by weight and by volume comes back in cups and spoons of its own "
            "grams to the cup.",
            "Ounces and pounds come back in grams.",
            "A line added from zero is measured the way most lines are written.",
        ),
        parts=(),
        example="227 g",
    )


def _us() -> MeasureRules:
    sizes = {Fraction(n, d) for d in (2, 3, 4, 8) for n in range(1, d)}
    return MeasureRules(
        system="us",
        rules=(
            "An amount is up to three terms: cups, tablespoons, teaspoons.",
            f"Cups: a whole number and at most one of {_parts_of('cup', sizes)}.",
            f"Tablespoons: 1 to 3, or {_parts_of('tbsp', sizes)}.",
            f"Teaspoons: up to 2 whole and at most one of {_parts_of('tsp', sizes)}.",
            "1/8 teaspoon only where it is the whole amount.",
            "No term is smaller than 1 percent of the amount.",
            "Of several writings the one that counts least: a filling is one, each unit after the "
            "first five more.",
        ),
        parts=tuple(
            _filled(unit, size)
            for unit in ("cup", "tbsp", "tsp")
            for size in sorted(sizes)
            if fillings([Term(size, unit)])
        ),
        example="3 3/4 cups + 1 tbsp",
    )


def _parts_of(unit: str, sizes: set[Fraction]) -> str:
    kept = sorted(size for size in sizes if fillings([Term(size, unit)]))
    return ", ".join(number_words(size) for size in kept)


def _filled(unit: str, size: Fraction) -> Filled:
    term = Term(size, unit)
    return Filled(measure=words(term), scoops=fillings([term]))


def _metric() -> MeasureRules:
    spoons = ", ".join(METRIC_SPOONS)
    return MeasureRules(
        system="metric",
        rules=(
            "Leaveners, salt and flavourings: any multiple of 1.25 ml, in the fewest spoonfuls of "
            f"{spoons}.",
            "Liquids: steps of 5 ml.",
            "Everything else: whole grams.",
            "An amount by weight or jug has no scoops.",
        ),
        parts=tuple(_filled(unit, Fraction(1)) for unit in METRIC_SPOONS),
        example="1 x 15 ml + 1 x 2.5 ml",
    )


def _scale() -> MeasureRules:
    return MeasureRules(
        system="scale",
        rules=("Whole grams from 20 g, tenths of a gram below.", "No scoops."),
        parts=(),
        example="227 g",
    )
