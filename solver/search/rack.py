"""The rack: every amount of an ingredient that a person can measure, within a range of grams.

Three systems. *us*: cups, tablespoons and teaspoons, in up to three terms. *metric*: small powders
by millilitre spoons, liquids in steps of 5 mL, the rest in whole grams. *scale*: whole grams, with
tenths below 20 g. Eggs come in wholes plus at most one yolk or white, in every system. What an
amount costs is the business of `solver.search.choices`.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import product
from math import ceil, floor
from typing import NamedTuple

from models.exact import exact
from models.ingredient import Ingredient
from models.measures import METRIC_SPOONS, ML_PER_CUP, Amount, MeasureSystem, Part, Term
from models.pantry import pantry


class Measurable(NamedTuple):
    """An amount that can be measured, and how many fillings it takes (none on the scale)."""

    amount: Amount
    fillings: int


def rack(
    ingredient: Ingredient, system: MeasureSystem, low: Fraction, high: Fraction
) -> list[Measurable]:
    """Return the measurable amounts of `ingredient` from `low` to `high` grams, lightest first."""
    if ingredient.role == "egg" and ingredient.grams_per_unit is not None:
        found = _pieces(ingredient, low, high)
    elif system == "us" and ingredient.cup_grams is not None:
        found = _cups_and_spoons(ingredient, ingredient.cup_grams, low, high)
    elif system == "metric" and ingredient.cup_grams is not None:
        found = _metric(ingredient, ingredient.cup_grams, low, high)
    else:
        found = _grams(ingredient, low, high, tenths_below_20=system != "metric")
    return sorted(found, key=lambda measurable: measurable.amount.grams)


def nearest(ingredient: Ingredient, system: MeasureSystem, grams: Fraction) -> Measurable:
    """Return the measurable amount nearest to `grams`, the smaller of two as near.

    Never nothing: scaling a recipe loses none of its lines.
    """
    # The rack is nowhere sparser than one cup, one piece or 20 g.
    gap = max(Fraction(20), ingredient.cup_grams or 0, exact(ingredient.grams_per_unit or 0))
    near = [
        m
        for m in rack(ingredient, system, grams - gap, grams + gap)
        if m.fillings or m.amount.grams
    ]
    return min(near, key=lambda m: (abs(m.amount.grams - grams), m.amount.grams))


# --- cups and spoons, counted in eighths of a teaspoon so that thirds of a cup are whole ---------

_CUP, _TABLESPOON, _TEASPOON = 384, 24, 8
_CUP_FRACTIONS = {0: 0, 96: 1, 128: 1, 192: 1, 256: 2, 288: 2}  # eighths: fillings
_TABLESPOONS = {0: 0, 12: 1, 24: 1, 48: 2, 72: 3}
_TEASPOONS = {
    8 * whole + part: whole + fillings
    for whole in (0, 1, 2)
    for part, fillings in {0: 0, 1: 1, 2: 1, 4: 1, 6: 2}.items()
}
_SMALLEST_TERM = 100  # no term under one hundredth of the amount: it would be lost in the error


class _Filling(NamedTuple):
    eighths: int
    terms: tuple[Term, ...]
    fillings: int


@lru_cache(maxsize=4096)
def _block(cups: int) -> tuple[_Filling, ...]:
    """Return the amounts from `cups` whole cups up to the next, in their fewest fillings."""
    best: dict[int, tuple[int, int, tuple[int, int, int]]] = {}
    for part, tablespoons, teaspoons in product(_CUP_FRACTIONS, _TABLESPOONS, _TEASPOONS):
        sizes = (_CUP * cups + part, tablespoons, teaspoons)
        total = sum(sizes)
        if not _scoopable(sizes, total):
            continue
        fillings = cups + _CUP_FRACTIONS[part] + _TABLESPOONS[tablespoons] + _TEASPOONS[teaspoons]
        candidate = (fillings, sum(size > 0 for size in sizes), sizes)
        best[total] = min(best.get(total, candidate), candidate)
    return tuple(
        _Filling(total, _terms(sizes), fillings)
        for total, (fillings, _, sizes) in sorted(best.items())
    )


def _scoopable(sizes: tuple[int, int, int], total: int) -> bool:
    if sizes[2] % _TEASPOON == 1 and total != 1:  # an eighth of a teaspoon stands alone
        return False
    return total > 0 and all(not size or size * _SMALLEST_TERM >= total for size in sizes)


def _terms(sizes: tuple[int, int, int]) -> tuple[Term, ...]:
    units = (("cup", _CUP), ("tbsp", _TABLESPOON), ("tsp", _TEASPOON))
    return tuple(
        Term(Fraction(size, unit_size), unit)
        for size, (unit, unit_size) in zip(sizes, units, strict=True)
        if size
    )


def _cups_and_spoons(
    ingredient: Ingredient, cup_grams: Fraction, low: Fraction, high: Fraction
) -> Iterator[Measurable]:
    per_eighth = cup_grams / _CUP
    first, last = ceil(low / per_eighth), floor(high / per_eighth)
    if first <= 0:
        yield _nothing(ingredient)
    for cups in range(max(first, 0) // _CUP, last // _CUP + 1):
        for filling in _block(cups):
            if first <= filling.eighths <= last:
                part = Part(ingredient, filling.eighths * per_eighth)
                yield Measurable(Amount((part,), filling.terms), filling.fillings)


# --- millilitres and grams -----------------------------------------------------------------------


def _metric(
    ingredient: Ingredient, cup_grams: Fraction, low: Fraction, high: Fraction
) -> Iterator[Measurable]:
    per_ml = cup_grams / ML_PER_CUP
    if ingredient.role in {"leavener", "salt", "flavour"}:
        yield from _metric_spoons(ingredient, per_ml, low, high)
    elif ingredient.role == "liquid":
        for count in _steps(low, high, 5 * per_ml):
            yield _plain(ingredient, count * 5 * per_ml, Term(Fraction(5 * count), "ml"))
    else:
        yield from _grams(ingredient, low, high, tenths_below_20=False)


def _metric_spoons(
    ingredient: Ingredient, per_ml: Fraction, low: Fraction, high: Fraction
) -> Iterator[Measurable]:
    step = METRIC_SPOONS["1.25 ml"] * per_ml
    for count in _steps(low, high, step):
        terms, rest = [], count * METRIC_SPOONS["1.25 ml"]
        for spoon, millilitres in METRIC_SPOONS.items():
            spoonfuls, rest = divmod(rest, millilitres)
            if spoonfuls:
                terms.append(Term(Fraction(spoonfuls), spoon))
        amount = Amount((Part(ingredient, count * step),), tuple(terms))
        yield Measurable(amount, sum(int(term.quantity) for term in terms))


def _grams(
    ingredient: Ingredient, low: Fraction, high: Fraction, *, tenths_below_20: bool
) -> Iterator[Measurable]:
    tenth, from_grams = Fraction(1, 10), 20 if tenths_below_20 else 0
    if tenths_below_20:
        for count in _steps(low, min(high, from_grams - tenth), tenth):
            yield _plain(ingredient, count * tenth, Term(count * tenth, "g"))
    for count in _steps(max(low, Fraction(from_grams)), high, Fraction(1)):
        yield _plain(ingredient, Fraction(count), Term(Fraction(count), "g"))


def _steps(low: Fraction, high: Fraction, step: Fraction) -> range:
    return range(max(0, ceil(low / step)), floor(high / step) + 1)


# --- eggs and other whole pieces -----------------------------------------------------------------


def _pieces(ingredient: Ingredient, low: Fraction, high: Fraction) -> Iterator[Measurable]:
    each = exact(ingredient.grams_per_unit or 1)
    unit = ingredient.unit_name or "piece"
    for count in range(floor(high / each) + 1):
        for extra, term in ((None, None), *_egg_parts(ingredient)):
            parts = [Part(ingredient, count * each)] if count else []
            terms = [Term(Fraction(count), unit)] if count else []
            if extra is not None and term is not None:
                parts.append(extra)
                terms.append(term)
            amount = Amount(tuple(parts) or (Part(ingredient, Fraction(0)),), tuple(terms))
            if low <= amount.grams <= high:
                yield Measurable(amount, count + (extra is not None))


def _egg_parts(ingredient: Ingredient) -> Iterator[tuple[Part, Term]]:
    for piece, grams in (("yolk", ingredient.yolk_grams), ("white", ingredient.white_grams)):
        separated = pantry().find(f"egg {piece}")
        if grams is not None and separated is not None:
            yield Part(separated, exact(grams)), Term(Fraction(1), piece)


def _plain(ingredient: Ingredient, grams: Fraction, term: Term) -> Measurable:
    return Measurable(Amount((Part(ingredient, grams),), (term,) if grams else ()), 0)


def _nothing(ingredient: Ingredient) -> Measurable:
    return Measurable(Amount((Part(ingredient, Fraction(0)),), ()), 0)
