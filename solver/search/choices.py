"""Choices: what each line of a brief may become under a set of limits, and what that costs.

The first option of a line is to stay as it is, at no cost; in a batch that is the measurable amount
nearest to the scaled one. The others are the measurable amounts within reach.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from models.brief import Brief
from models.formula import FormulaLine
from models.limits import (
    ADDED_SHARE_OF_FLOUR,
    DEFAULT_ADDED_SHARE_OF_FLOUR,
    DEFAULT_REACH,
    REACH,
    ChangeLimit,
    Limit,
)
from models.measures import Amount, Part
from models.ratios import Masses, masses_per_gram
from solver.search.rack import Measurable, nearest, rack

MOVED_LINE_COST = Fraction(1, 20)
FILLING_COST = Fraction(1, 250)
ADDED_UNIT_SHARE = Fraction(1, 20)
"""A line added from zero counts as a whole change at a twentieth of the flour."""


@dataclass(frozen=True, eq=False)
class Choice:
    """One line and its options; arrays run over the options, staying first."""

    line: FormulaLine
    options: tuple[Measurable, ...]
    change: tuple[Fraction, ...]  # |grams − grams before| / grams before; 0 for staying
    cost: np.ndarray
    masses: Masses

    @property
    def added(self) -> bool:
        """Whether the line is new to the recipe."""
        return self.line.grams == 0 and len(self.options) > 1


class Scope:
    """A brief made ready: its lines at the batch's size, and their options under any limits."""

    def __init__(self, brief: Brief) -> None:
        """Scale the recipe to the batch and append the lines that may enter."""
        self.brief = brief
        formula = brief.formula
        self.factor = brief.batch_factor
        self.before = formula.times(self.factor) if brief.batch else formula
        added = (FormulaLine(i, Amount((Part(i, Fraction(0)),), ())) for i in brief.added)
        self.lines = (*self.before.lines, *added)
        self._made: dict[tuple[int, Fraction | None], Choice] = {}

    def choices(self, limits: Sequence[Limit]) -> tuple[Choice, ...]:
        """Return what each line may become where `limits` hold."""
        return tuple(
            self._choice(position, _tightest(position, limits))
            for position in range(len(self.lines))
        )

    def _choice(self, position: int, percent: Fraction | None) -> Choice:
        if (position, percent) not in self._made:
            self._made[position, percent] = self._make(position, percent)
        return self._made[position, percent]

    def _make(self, position: int, percent: Fraction | None) -> Choice:
        line = self.lines[position]
        stay = self._stay(line)
        weight = self.brief.weight_of(line.role)
        if weight is None or percent == 0 or (not line.grams and position < len(self.before.lines)):
            options = [stay]
        else:
            low, high = self._reach(line, percent)
            amounts = rack(line.ingredient, self.brief.measures, low, high)
            options = [stay, *(m for m in amounts if m.amount.grams != stay.amount.grams)]
        unit = line.grams or ADDED_UNIT_SHARE * self.before.flour_grams
        change = tuple(
            abs(m.amount.grams - line.grams) / unit if j else Fraction(0)
            for j, m in enumerate(options)
        )
        cost = _move_costs(weight or Fraction(0), change, options)
        return Choice(line, tuple(options), change, cost, self._masses(options))

    def _stay(self, line: FormulaLine) -> Measurable:
        if self.brief.batch and line.grams:
            return nearest(line.ingredient, self.brief.measures, line.grams)
        return Measurable(line.amount, 0)

    def _reach(self, line: FormulaLine, percent: Fraction | None) -> tuple[Fraction, Fraction]:
        if not line.grams:
            share = ADDED_SHARE_OF_FLOUR.get(line.role, DEFAULT_ADDED_SHARE_OF_FLOUR)
            return Fraction(0), share * self.before.flour_grams
        down, up = REACH.get(line.role, DEFAULT_REACH)
        if percent is not None:
            down, up = max(down, -percent / 100), min(up, percent / 100)
        return line.grams * (1 + down), line.grams * (1 + up)

    def _masses(self, options: list[Measurable]) -> Masses:
        """Return what each option adds to the sums, as arrays of floats."""
        grams: dict[str, np.ndarray] = {}
        ingredients = {}
        for option, measurable in enumerate(options):
            for part in measurable.amount.parts:
                name = part.ingredient.name
                if name not in grams:
                    grams[name], ingredients[name] = np.zeros(len(options)), part.ingredient
                grams[name][option] += float(part.grams)
        columns = np.zeros((len(Masses._fields), len(options)))
        for name, ingredient in ingredients.items():
            per_gram = masses_per_gram(ingredient, self.brief.powder_strength)
            columns += np.outer([float(share) for share in per_gram], grams[name])
        return Masses(*columns)


def move_cost(weight: Fraction, change: Fraction, moved_to: Measurable) -> Fraction:
    """Return what moving a line costs: its change by weight, the move itself, and its fillings."""
    return weight * change + MOVED_LINE_COST + FILLING_COST * moved_to.fillings


def _move_costs(
    weight: Fraction, change: Sequence[Fraction], options: Sequence[Measurable]
) -> np.ndarray:
    """Return `move_cost` of every option in floats; to stay, the first, costs nothing."""
    changes, fillings = [float(c) for c in change], [m.fillings for m in options]
    costs = float(weight) * np.array(changes) + float(FILLING_COST) * np.array(fillings)
    costs += float(MOVED_LINE_COST)
    costs[0] = 0.0
    return costs


def _tightest(position: int, limits: Sequence[Limit]) -> Fraction | None:
    percents = [
        limit.percent
        for limit in limits
        if isinstance(limit, ChangeLimit) and position in limit.positions
    ]
    return min(percents, default=None)
