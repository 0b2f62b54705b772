"""An answer: one option for each line of a problem, with what is weighed of it, exactly."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

import numpy as np

from models.limits import Limit
from models.measures import Amount
from solver.search.judging import WeighedDough
from solver.search.options import LineOptions, ReadyBrief
from solver.search.sheets import Sheet

Picks = tuple[int, ...]
"""The option taken of each line; 0 is to stay."""

COST_TIE = 1e-9
"""Costs closer than this are equal: it is the solver's tolerance on a cost row."""


@dataclass(frozen=True, eq=False)
class Answer:
    """One option for each line."""

    ready: ReadyBrief
    options: tuple[LineOptions, ...]
    picks: Picks
    sheet: Sheet | None = None
    """How the piece is rolled; None without a form."""

    @property
    def amounts(self) -> tuple[Amount, ...]:
        """The amount of each line."""
        return tuple(c.amount(p) for c, p in zip(self.options, self.picks, strict=True))

    @cached_property
    def weighed(self) -> WeighedDough:
        """What is measured of the answer, exactly."""
        return WeighedDough(self.amounts, self.ready.brief.powder_strength, self.ready.draws)

    @property
    def cost(self) -> Fraction:
        """The cost of every moved line and of the sheet together, exactly."""
        return self.dough_cost + (self.sheet.cost if self.sheet else 0)

    @cached_property
    def dough_cost(self) -> Fraction:
        """The cost of every moved line, exactly."""
        costs = (e.cost_of(pick) for e, pick in zip(self.options, self.picks, strict=True))
        return sum(costs, Fraction(0))

    @property
    def preference(self) -> tuple[Any, ...]:
        """What decides between answers, least first: the cost; of equal costs the fewest moved
        lines, then the least move of the earlier line, to the smaller of two amounts."""
        moves = tuple(
            (each.change_of(pick), each.amount(pick).grams)
            for each, pick in zip(self.options, self.picks, strict=True)
        )
        return (self.cost, sum(map(bool, self.picks)), moves)

    def picks_among(self, options: Sequence[LineOptions]) -> Picks:
        """Return the options nearest in grams to this answer's, where lines have other options."""
        return tuple(
            pick if mine is theirs else int(np.abs(theirs.grams - mine.grams[pick]).argmin())
            for pick, mine, theirs in zip(self.picks, self.options, options, strict=True)
        )

    def meets(self, limits: Sequence[Limit]) -> bool:
        """Tell whether every limit holds to the last digit, and there is flour at all."""
        return self.weighed.keeps_all(limits)

    def largest_change(self, positions: Sequence[int]) -> Fraction:
        """Return the largest change among the lines at `positions`, as a share of their amount."""
        changes = (self.options[k].change_of(self.picks[k]) for k in positions)
        return max(changes, default=Fraction(0))


class DeadlineStruck(Exception):
    """The caller's time ran out; carries the best answer so far and a bound on every cost."""

    def __init__(self, best: Answer | None, bound: float) -> None:
        """Keep both."""
        super().__init__("the deadline struck")
        self.best = best
        self.bound = bound
