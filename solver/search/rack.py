"""The rack: every amount of an ingredient that a person can measure, within a range of grams.

Cups and spoons come in up to three terms; millilitres in spoons for powders and in steps of 5 mL
for what is poured; the scale in whole grams from 20 g and tenths below; eggs in wholes plus at most
one yolk or white. All but eggs are whole numbers of one small step, so a rack of ten thousand
amounts is an array of numbers; an amount is made exact when it is asked for. Which way a line is
measured is `solver.search.options`, what an amount costs `solver.search.costs`.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import count, product
from math import ceil, floor
from typing import Literal, NamedTuple, assert_never, overload

import numpy as np

from models.exact import exact
from models.ingredient import Ingredient
from models.measures import METRIC_SPOONS, ML_PER_CUP, Amount, Part, Term
from models.pantry import known_pantry
from solver.search.costs import FURTHER_UNIT_FILLINGS

Way = Literal["cups", "millilitres", "scale", "whole_grams", "pieces"]
"""How a person measures a line."""


MOST_STEPS = 20_000
"""To choose from: beyond, what a line may become comes in coarser steps, as on a larger scale. A
scale of the usual class has at most 10,000 (OIML R 76-1, class III). What is only scaled is the
nearest amount all the same."""


class Measurable(NamedTuple):
    """An amount that can be measured, and what handling it counts, in fillings."""

    amount: Amount
    counts: int


@dataclass(frozen=True, eq=False)
class Rack(Sequence[Measurable]):
    """Amounts of one line, lightest first: as arrays for the search, one by one for people.

    `grams` are floats, those of each ingredient apart (a line of eggs may hold yolks).
    """

    counts: np.ndarray
    grams: tuple[tuple[Ingredient, np.ndarray], ...]
    amount: Callable[[int], Amount]
    """Returns the exact amount at a place."""

    def __len__(self) -> int:
        """How many amounts there are."""
        return len(self.counts)

    @overload
    def __getitem__(self, at: int) -> Measurable: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Measurable]: ...
    def __getitem__(self, at: int | slice) -> Measurable | Sequence[Measurable]:
        """Return the amount at a place."""
        if isinstance(at, slice):
            return [self[place] for place in range(*at.indices(len(self)))]
        if not -len(self) <= at < len(self):
            raise IndexError(at)
        at %= len(self)
        return Measurable(self.amount(at), int(self.counts[at]))

    def take(self, places: np.ndarray) -> "Rack":
        """Return only the amounts at `places`."""
        return Rack(
            self.counts[places],
            tuple((ingredient, grams[places]) for ingredient, grams in self.grams),
            lambda at: self.amount(int(places[at])),
        )

    @property
    def total_grams(self) -> np.ndarray:
        """Grams of each amount, all ingredients together."""
        totals: np.ndarray = np.sum([grams for _, grams in self.grams], axis=0)
        return totals


def rack(
    ingredient: Ingredient,
    way: Way,
    low: Fraction,
    high: Fraction,
    own_cup_grams: Fraction | None = None,
) -> Rack:
    """Return the measurable amounts of `ingredient` from `low` to `high` grams.

    `own_cup_grams` is what a cup weighs where the line itself says so. By the scale where volume is
    asked of an ingredient without a cup weight.
    """
    cup = own_cup_grams or ingredient.cup_grams
    if cup is None and way in ("cups", "millilitres"):
        way = "scale"
    match way:
        case "pieces":
            return _pieces(ingredient, low, high)
        case "scale":
            return _grams(ingredient, low, high, tenths_below=20)
        case "whole_grams":
            return _grams(ingredient, low, high, tenths_below=0)
        case "cups":
            assert cup is not None
            return _cups(ingredient, cup, own_cup_grams, low, high)
        case "millilitres":
            assert cup is not None
            return _millilitres(ingredient, cup, own_cup_grams, low, high)
        case _:
            assert_never(way)


def nearest(
    ingredient: Ingredient, way: Way, grams: Fraction, own_cup_grams: Fraction | None = None
) -> Measurable:
    """Return the measurable amount nearest to `grams`, the smaller of two as near.

    Never nothing: scaling a recipe loses none of its lines. An egg of which no count of pieces
    comes within a tenth is beaten and weighed.
    """
    # No rack is sparser than one cup, one piece or 20 g.
    cup = own_cup_grams or ingredient.cup_grams or 0
    gap = max(Fraction(20), cup, exact(ingredient.grams_per_unit or 0))
    around = rack(ingredient, way, grams - gap, grams + gap, own_cup_grams)
    near = np.argsort(np.abs(around.total_grams - float(grams)), kind="stable")[:4]
    some = [found for at in near if (found := around[int(at)]).amount.grams]
    best = min(some, key=lambda m: (abs(m.amount.grams - grams), m.amount.grams), default=None)
    if way == "pieces" and (best is None or 10 * abs(best.amount.grams - grams) > grams):
        return nearest(ingredient, "scale", grams)
    if best is None:
        return Measurable(Amount((Part(ingredient, grams),), (Term(grams, "g"),)), 0)
    return best


def _stepped(
    ingredient: Ingredient,
    step: Fraction,
    numbers: np.ndarray,
    counts: np.ndarray,
    terms: Callable[[int], tuple[Term, ...]],
    own_cup_grams: Fraction | None = None,
) -> Rack:
    """Return the rack of `numbers` times `step` grams."""

    def amount(at: int) -> Amount:
        number = int(numbers[at])
        said = terms(number)
        volume = said if own_cup_grams else ()
        return Amount((Part(ingredient, number * step),), said, volume)

    return Rack(counts, ((ingredient, numbers * float(step)),), amount)


def _steps(low: Fraction, high: Fraction, step: Fraction) -> np.ndarray:
    """Return how many steps each amount from `low` to `high` is, in as coarse steps as are due."""
    stride = _stride(floor(high / step) - max(0, ceil(low / step)))
    first, last = max(0, ceil(low / step / stride)), floor(high / step / stride)
    return stride * np.arange(first, last + 1, dtype=np.int64)


def _stride(most: int) -> int:
    """Return 1, 2, 5, 10 … steps at a time, so that `most` of them are few enough."""
    return next(s for s in _strides() if s * MOST_STEPS >= most)


def _strides() -> Iterator[int]:
    for power in count():
        yield from (digit * 10**power for digit in (1, 2, 5))


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
_CUPS_ALONE = 19  # from here three tablespoons are under one hundredth


class _Block(NamedTuple):
    """The amounts from some whole cups up to the next, each in the writing that counts least."""

    eighths: np.ndarray
    counts: np.ndarray
    sizes: dict[int, tuple[int, int, int]]


@lru_cache(maxsize=4096)
def _block(cups: int) -> _Block:
    best: dict[int, tuple[int, int, tuple[int, int, int]]] = {}
    for part, tablespoons, teaspoons in product(_CUP_FRACTIONS, _TABLESPOONS, _TEASPOONS):
        sizes = (_CUP * cups + part, tablespoons, teaspoons)
        total = sum(sizes)
        if not _scoopable(sizes, total):
            continue
        units = sum(size > 0 for size in sizes)
        fillings = cups + _CUP_FRACTIONS[part] + _TABLESPOONS[tablespoons] + _TEASPOONS[teaspoons]
        candidate = (fillings + FURTHER_UNIT_FILLINGS * (units - 1), units, sizes)
        best[total] = min(best.get(total, candidate), candidate)
    totals = sorted(best)
    return _Block(
        np.array(totals, dtype=np.int64),
        np.array([best[total][0] for total in totals], dtype=np.int64),
        {total: best[total][2] for total in totals},
    )


def _scoopable(sizes: tuple[int, int, int], total: int) -> bool:
    if sizes[2] % _TEASPOON == 1 and total != 1:  # an eighth of a teaspoon stands alone
        return False
    return total > 0 and all(not size or size * _SMALLEST_TERM >= total for size in sizes)


def _cup_terms(eighths: int) -> tuple[Term, ...]:
    if not eighths:
        return ()
    units = (("cup", _CUP), ("tbsp", _TABLESPOON), ("tsp", _TEASPOON))
    sizes = _block(eighths // _CUP).sizes[eighths]
    return tuple(
        Term(Fraction(size, unit_size), unit)
        for size, (unit, unit_size) in zip(sizes, units, strict=True)
        if size
    )


def _cups(
    ingredient: Ingredient,
    cup_grams: Fraction,
    own_cup_grams: Fraction | None,
    low: Fraction,
    high: Fraction,
) -> Rack:
    step = cup_grams / _CUP
    first, last = ceil(low / step), floor(high / step)
    small = range(max(first, 0) // _CUP, min(last // _CUP + 1, _CUPS_ALONE))
    blocks = [_block(cups) for cups in small]
    nothing = [np.zeros(1, dtype=np.int64)] if first <= 0 <= last else []
    whole = max(first // _CUP, _CUPS_ALONE) * cup_grams
    large, fillings = _cups_alone(_steps(whole, high, cup_grams))
    eighths = np.concatenate([*nothing, *(block.eighths for block in blocks), large])
    counts = np.concatenate([*nothing, *(block.counts for block in blocks), fillings])
    within = (eighths >= first) & (eighths <= last)
    return _stepped(ingredient, step, eighths[within], counts[within], _cup_terms, own_cup_grams)


def _cups_alone(cups: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return whole cups with their parts, in eighths of a teaspoon, and what each counts.

    Without parts where the cups are many.
    """
    if not len(cups) or len(cups) * len(_CUP_FRACTIONS) > MOST_STEPS:
        return _CUP * cups, cups
    parts, fillings = np.array(list(_CUP_FRACTIONS.items())).T
    eighths = np.add.outer(_CUP * cups, parts).ravel()
    return eighths, np.add.outer(cups, fillings).ravel()


# --- millilitres and grams -----------------------------------------------------------------------

SPOONED_ROLES = frozenset({"leavener", "salt", "flavour"})
"""What a metric kitchen takes by the spoon."""


def _millilitres(
    ingredient: Ingredient,
    cup_grams: Fraction,
    own_cup_grams: Fraction | None,
    low: Fraction,
    high: Fraction,
) -> Rack:
    per_ml = cup_grams / ML_PER_CUP
    if ingredient.role not in SPOONED_ROLES:
        numbers = _steps(low, high, 5 * per_ml)
        return _stepped(ingredient, 5 * per_ml, numbers, 0 * numbers, _jug_terms, own_cup_grams)
    step = METRIC_SPOONS["1.25 ml"] * per_ml
    numbers = _steps(low, high, step)
    counts = numbers // 12 + numbers % 12 // 4 + numbers % 4 // 2 + numbers % 2
    return _stepped(ingredient, step, numbers, counts, _metric_spoon_terms, own_cup_grams)


def _jug_terms(number: int) -> tuple[Term, ...]:
    return (Term(Fraction(5 * number), "ml"),) if number else ()


def _metric_spoon_terms(number: int) -> tuple[Term, ...]:
    terms, rest = [], number * METRIC_SPOONS["1.25 ml"]
    for spoon, millilitres in METRIC_SPOONS.items():
        spoonfuls, rest = divmod(rest, millilitres)
        if spoonfuls:
            terms.append(Term(Fraction(spoonfuls), spoon))
    return tuple(terms)


def _grams(ingredient: Ingredient, low: Fraction, high: Fraction, *, tenths_below: int) -> Rack:
    tenth = Fraction(1, 10)
    if not tenths_below:
        numbers = _steps(low, high, Fraction(1))
        return _stepped(ingredient, Fraction(1), numbers, 0 * numbers, _gram_terms(1))
    fine = _steps(low, min(high, tenths_below - tenth), tenth)
    coarse = 10 * _steps(max(low, Fraction(tenths_below)), high, Fraction(1))
    numbers = np.concatenate([fine, coarse])
    return _stepped(ingredient, tenth, numbers, 0 * numbers, _gram_terms(10))


def _gram_terms(per_gram: int) -> Callable[[int], tuple[Term, ...]]:
    return lambda number: (Term(Fraction(number, per_gram), "g"),) if number else ()


# --- eggs and other whole pieces -----------------------------------------------------------------


def _pieces(ingredient: Ingredient, low: Fraction, high: Fraction) -> Rack:
    amounts = sorted(
        (amount for amount in _counted(ingredient, low, high) if low <= amount.grams <= high),
        key=lambda amount: amount.grams,
    )
    kinds = {part.ingredient.name: part.ingredient for a in amounts for part in a.parts}
    grams = {name: np.zeros(len(amounts)) for name in kinds}
    for at, amount in enumerate(amounts):
        for part in amount.parts:
            grams[part.ingredient.name][at] += float(part.grams)
    return Rack(
        np.array([sum(int(t.quantity) for t in a.terms) for a in amounts], dtype=np.int64),
        tuple((kinds[name], grams[name]) for name in kinds) or ((ingredient, np.zeros(0)),),
        amounts.__getitem__,
    )


def _counted(ingredient: Ingredient, low: Fraction, high: Fraction) -> Iterator[Amount]:
    each = exact(ingredient.grams_per_unit or 1)
    unit = ingredient.unit_name or "piece"
    fewest = max(0, floor(low / each) - 1)
    for pieces in range(fewest, floor(high / each) + 1):
        for extra, term in ((None, None), *_egg_parts(ingredient)):
            parts = [Part(ingredient, pieces * each)] if pieces else []
            terms = [Term(Fraction(pieces), unit)] if pieces else []
            if extra is not None and term is not None:
                parts.append(extra)
                terms.append(term)
            yield Amount(tuple(parts) or (Part(ingredient, Fraction(0)),), tuple(terms))


def _egg_parts(ingredient: Ingredient) -> Iterator[tuple[Part, Term]]:
    for piece, grams in (("yolk", ingredient.yolk_grams), ("white", ingredient.white_grams)):
        separated = known_pantry().find(f"egg {piece}")
        if grams is not None and separated is not None:
            yield Part(separated, exact(grams)), Term(Fraction(1), piece)
