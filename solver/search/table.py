"""The table: a program in one piece, options of all lines side by side, and how nodes of it split.

A node of the search is a mask over the options. What is done with nodes is the business of
`solver.search.branch_and_bound` and `solver.search.chance_search`.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from solver.search.program import Program

SURE = 1e-6
"""What the relaxation takes less of than this it does not take."""


@dataclass(frozen=True, eq=False)
class Table:
    """A program in one piece: options of all lines side by side."""

    costs: np.ndarray
    use: np.ndarray  # rows × options
    room: np.ndarray
    starts: np.ndarray

    @classmethod
    def of(cls, program: Program) -> "Table":
        """Lay out a program."""
        sizes = np.array([len(line) for line in program.costs])
        return cls(
            np.concatenate(program.costs),
            np.hstack(program.use),
            program.room,
            np.cumsum(sizes) - sizes,
        )

    def with_rows(self, use: np.ndarray) -> "Table":
        """Return the table with more rows, each with no room."""
        room = np.append(self.room, np.zeros(len(use)))
        return Table(self.costs, np.vstack([self.use, use]), room, self.starts)

    @cached_property
    def use_and_cost(self) -> np.ndarray:
        """The rows, and the cost as one more."""
        return np.vstack([self.use, self.costs])

    @cached_property
    def of_line(self) -> np.ndarray:
        """Which line each option belongs to."""
        return np.repeat(np.arange(len(self.starts)), np.diff([*self.starts, len(self.costs)]))

    def one_move_from(self, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return what is used of each row, and the cost, were each option taken beside `row`."""
        use = self.use_and_cost
        here = use[:, row]
        there = here.sum(axis=1)[:, None] + use - here[:, self.of_line]
        return there[:-1], there[-1]

    def floor_of(
        self, costs: np.ndarray, multipliers: np.ndarray, left: np.ndarray
    ) -> tuple[float, np.ndarray]:
        """Return the floor under every answer, and the reduced costs above it."""
        priced = np.where(left, costs + multipliers @ self.use, np.inf)
        least = np.minimum.reduceat(priced, self.starts)
        floor = float(least.sum() - multipliers @ self.room)
        if np.isnan(floor) and multipliers.any():  # amounts beyond a float's reach: no price holds
            return self.floor_of(costs, np.zeros(len(multipliers)), left)
        return floor, priced - least[self.of_line]


def halves(table: Table, left: np.ndarray, taken: np.ndarray) -> list[np.ndarray]:
    """Split a node on the line of which the relaxation is least sure."""
    open_lines = np.add.reduceat(left, table.starts) > 1
    may_stay = left[table.starts] & open_lines
    stays = taken[table.starts]
    unsure = np.where(may_stay, np.minimum(stays, 1 - stays), -1.0)
    line = int(unsure.argmax())
    if unsure[line] <= SURE:
        sizes = np.where(open_lines, np.add.reduceat(left, table.starts), 0)
        fraction = 1 - np.maximum.reduceat(taken, table.starts)
        line = int(np.lexsort((sizes, np.where(open_lines, fraction, -1.0)))[-1])
    options = np.flatnonzero(left & (table.of_line == line))
    if left[table.starts[line]]:
        return separated(left, options[:1], options)
    middle = float(options @ taken[options]) / max(float(taken[options].sum()), SURE)
    lower = options[options <= min(middle, options[-2])]
    return separated(left, lower if len(lower) else options[:1], options)


def separated(left: np.ndarray, some: np.ndarray, options: np.ndarray) -> list[np.ndarray]:
    """Return the node that is left with only `some` of a line's `options`, and with the others."""
    one, other = left.copy(), left.copy()
    one[options] = False
    one[some] = True
    other[some] = False
    return [one, other]
