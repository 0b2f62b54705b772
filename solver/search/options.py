"""Options: what each line of a brief may become under a set of limits, and what that costs.

The first option of a line is to stay as it is, at no cost; in a batch that is the measurable amount
nearest to the scaled one. The others are the measurable amounts within reach, measured the way the
caller asks or the way the line is written.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import assert_never

import numpy as np

from models.brief import Brief
from models.formula import FormulaLine
from models.ingredient import Ingredient
from models.limits import (
    ADDED_SHARE_OF_FLOUR,
    DEFAULT_ADDED_SHARE_OF_FLOUR,
    DEFAULT_REACH,
    REACH,
    ChangeLimit,
    Limit,
)
from models.measures import Amount, MeasureSystem, Part, style_of
from models.ratios import Masses, masses_per_gram
from solver.mechanics.round_test import believed
from solver.search.costs import (
    ADDED_UNIT_SHARE,
    FILLING_COST,
    LEFT_OUT_COST,
    MOVED_LINE_COST,
    move_cost,
)
from solver.search.rack import SPOONED_ROLES, Measurable, Rack, Way, nearest, rack

PerGram = Callable[[Ingredient], np.ndarray]
"""What a gram of an ingredient brings, as an array of floats."""


@lru_cache(maxsize=4096)
def masses_per_gram_floats(ingredient: Ingredient, powder_strength: float) -> np.ndarray:
    """Return what a gram of `ingredient` adds to each sum, in floats."""
    return np.array([float(share) for share in masses_per_gram(ingredient, powder_strength)])


@dataclass(frozen=True, eq=False)
class LineOptions:
    """One line and what it may become; arrays run over the options, staying first.

    `unit` is the grams of a whole change, `weight` what one costs.
    """

    line: FormulaLine
    stay: Measurable
    others: Rack
    weight: Fraction
    unit: Fraction
    powder_strength: float

    def __len__(self) -> int:
        """How many options there are."""
        return 1 + len(self.others)

    @cached_property
    def grams(self) -> np.ndarray:
        """Grams of each option, as floats."""
        return np.concatenate([[float(self.stay.amount.grams)], self.others.total_grams])

    @cached_property
    def change(self) -> np.ndarray:
        """|grams − grams before| / unit, 0 for staying."""
        changes = np.abs(self.grams - float(self.line.grams)) / float(self.unit)
        changes[0] = 0.0
        return changes

    @cached_property
    def cost(self) -> np.ndarray:
        """What each option costs, 0 for staying."""
        costs = float(self.weight) * self.change + float(MOVED_LINE_COST)
        costs[1:] += float(FILLING_COST) * self.others.counts
        costs += float(LEFT_OUT_COST) * (self.grams == 0)
        costs[0] = 0.0
        return costs

    @cached_property
    def masses(self) -> Masses:
        """What each option adds to the sums of the ratios."""
        return Masses(*self.weighted(lambda i: masses_per_gram_floats(i, self.powder_strength)))

    def weighted(self, per_gram: PerGram) -> np.ndarray:
        """Return what each option brings of everything that a gram of its parts brings.

        Things by options.
        """
        columns = np.zeros((len(per_gram(self.line.ingredient)), len(self)))
        for part in self.stay.amount.parts:
            columns[:, 0] += per_gram(part.ingredient) * float(part.grams)
        for ingredient, grams in self.others.grams:
            columns[:, 1:] += np.outer(per_gram(ingredient), grams)
        return columns

    def amount(self, pick: int) -> Amount:
        """Return the exact amount of an option."""
        return self.others.amount(pick - 1) if pick else self.stay.amount

    def change_of(self, pick: int) -> Fraction:
        """Return how far an option moves, exactly, as a share of a whole change."""
        return abs(self.amount(pick).grams - self.line.grams) / self.unit if pick else Fraction(0)

    def counts_of(self, pick: int) -> int:
        """Return what measuring an option counts, in fillings."""
        return int(self.others.counts[pick - 1]) if pick else 0

    def is_left_out(self, pick: int) -> bool:
        """Tell whether an option takes the line to nothing."""
        return pick > 0 and not self.amount(pick).grams

    def cost_of(self, pick: int) -> Fraction:
        """Return what an option costs, exactly."""
        if not pick:
            return Fraction(0)
        return move_cost(
            self.weight,
            self.change_of(pick),
            self.counts_of(pick),
            left_out=self.is_left_out(pick),
        )


class ReadyBrief:
    """A brief made ready: its lines at the batch's size, and their options under any limits."""

    def __init__(self, brief: Brief) -> None:
        """Scale the recipe to the batch and append the lines that may enter."""
        self.brief = brief
        formula = brief.formula
        self.factor = brief.batch_factor
        self.before = formula.times(self.factor) if brief.batch else formula
        added = (FormulaLine(i, Amount((Part(i, Fraction(0)),), ())) for i in brief.added)
        self.lines = (*self.before.lines, *added)
        self.draws = believed(brief.round_test, formula, brief.taught)
        self._usual = usual_way(formula.lines)
        self._made: dict[tuple[int, Fraction | None], LineOptions] = {}

    def options(self, limits: Sequence[Limit]) -> tuple[LineOptions, ...]:
        """Return what each line may become where `limits` hold."""
        return tuple(
            self._of_line(position, _tightest(position, limits))
            for position in range(len(self.lines))
        )

    def _of_line(self, position: int, percent: Fraction | None) -> LineOptions:
        if (position, percent) not in self._made:
            self._made[position, percent] = self._make(position, percent)
        return self._made[position, percent]

    def _make(self, position: int, percent: Fraction | None) -> LineOptions:
        line = self.lines[position]
        way = measured_by(line, self.brief.measures, self._usual)
        stay = self._stay(line, way)
        weight = self.brief.weight_of(line.role)
        if (
            line.is_mixed
            or weight is None
            or percent == 0
            or (not line.grams and position < len(self.before.lines))
        ):
            others = _no_others(line)
        else:
            low, high = self._reach(line, percent)
            own_cup = line.amount.own_cup_grams
            found = rack(line.ingredient, way, low, high, own_cup)
            others = _other_than(stay.amount, found)
        unit = line.grams or ADDED_UNIT_SHARE * self.before.flour_grams
        strength = self.brief.powder_strength
        return LineOptions(line, stay, others, weight or Fraction(0), unit, strength)

    def _stay(self, line: FormulaLine, way: Way) -> Measurable:
        if self.brief.batch and line.grams and not line.is_mixed:
            return nearest(line.ingredient, way, line.grams, line.amount.own_cup_grams)
        return Measurable(line.amount, 0)

    def _reach(self, line: FormulaLine, percent: Fraction | None) -> tuple[Fraction, Fraction]:
        if not line.grams:
            share = ADDED_SHARE_OF_FLOUR.get(line.role, DEFAULT_ADDED_SHARE_OF_FLOUR)
            return Fraction(0), share * self.before.flour_grams
        down, up = REACH.get(line.role, DEFAULT_REACH)
        if percent is not None:
            down, up = max(down, -percent / 100), min(up, percent / 100)
        return line.grams * (1 + down), line.grams * (1 + up)


def measured_by(line: FormulaLine, system: MeasureSystem, usual: Way) -> Way:
    """Return how a line is measured; `usual` is how most lines of its recipe are written."""
    ingredient = line.ingredient
    if ingredient.role == "egg" and ingredient.grams_per_unit is not None:
        return "pieces"
    match system:
        case "us":
            return "cups"
        case "scale":
            return "scale"
        case "metric":
            by_volume = ingredient.role in SPOONED_ROLES or ingredient.role == "liquid"
            has_cup = line.amount.own_cup_grams or ingredient.cup_grams
            return "millilitres" if by_volume and has_cup else "whole_grams"
        case "as_written":
            return style_of(line.amount) or usual
        case _:
            assert_never(system)


def usual_way(lines: Sequence[FormulaLine]) -> Way:
    """Return how most lines are written, the first of equals; by cups where nothing tells."""
    ways = [style_of(line.amount) for line in lines if line.role != "egg"]
    counted = Counter(way for way in ways if way is not None)
    return counted.most_common(1)[0][0] if counted else "cups"


def _no_others(line: FormulaLine) -> Rack:
    nothing = np.zeros(0)
    return Rack(nothing.astype(np.int64), ((line.ingredient, nothing),), lambda at: line.amount)


def _other_than(stay: Amount, found: Rack) -> Rack:
    """Return the amounts that are not the one that staying has."""
    near = np.flatnonzero(np.isclose(found.total_grams, float(stay.grams), rtol=1e-9, atol=1e-9))
    same = [int(at) for at in near if found.amount(int(at)).grams == stay.grams]
    return found.take(np.delete(np.arange(len(found)), same)) if same else found


def _tightest(position: int, limits: Sequence[Limit]) -> Fraction | None:
    percents = [
        limit.percent
        for limit in limits
        if isinstance(limit, ChangeLimit) and position in limit.positions
    ]
    return min(percents, default=None)
