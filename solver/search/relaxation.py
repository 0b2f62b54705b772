"""The continuous relaxation of a program, kept in HiGHS from one question to the next.

A branch and bound asks for it again and again with fewer options; from where it stood last the
simplex method needs a few steps. What counts are the multipliers: whatever they are, as long as
they are not negative, they put a floor under every answer (`solver.search.pricing`). Whole programs
are handed to HiGHS by `solver.search.highs`.
"""

import os
import sys
from functools import cache
from typing import NamedTuple

import highspy
import numpy as np

COLUMNWISE, MINIMISE = 1, 1


class Relaxed(NamedTuple):
    """What a unit more room in each row would save, and how much of each option is taken."""

    multipliers: np.ndarray
    taken: np.ndarray


class Relaxation:
    """The relaxation of one program, under any choice of the options that are left.

    `elastic`: instead of the costs the one number is minimised by which the rows are overstepped.
    """

    def __init__(
        self,
        costs: np.ndarray,
        use: np.ndarray,
        room: np.ndarray,
        starts: np.ndarray,
        *,
        elastic: bool = False,
    ) -> None:
        """Hand the program over."""
        lines, (rows, options) = len(starts), use.shape
        self._lines, self._options = lines, options
        one = np.zeros((lines, options))
        one[np.repeat(np.arange(lines), np.diff([*starts, options])), np.arange(options)] = 1
        columns, prices = np.vstack([one, use]).T, costs
        if elastic:
            over = np.concatenate([np.zeros(lines), -np.ones(rows)])
            columns, prices = np.vstack([columns, over]), np.concatenate([0 * costs, [1.0]])
        where = columns != 0
        free = np.full(len(prices), highspy.kHighsInf)
        self._solver = quiet_solver()
        self._solver.passModel(
            len(prices),
            lines + rows,
            int(where.sum()),
            COLUMNWISE,
            MINIMISE,
            0.0,
            prices,
            np.where(np.arange(len(prices)) < options, 0.0, -free),
            free,
            np.concatenate([np.ones(lines), np.full(rows, -highspy.kHighsInf)]),
            np.concatenate([np.ones(lines), room]),
            np.concatenate([[0], np.cumsum(where.sum(axis=1))]).astype(np.int32),
            np.nonzero(where)[1].astype(np.int32),
            columns[where],
            np.zeros(len(prices), dtype=np.int32),
        )
        self._left = np.ones(options, dtype=bool)

    def solve(self, left: np.ndarray, seconds: float = highspy.kHighsInf) -> Relaxed | None:
        """Solve it over the options in the mask `left`; None where it is infeasible.

        Where it is not solved within `seconds` or at all, all multipliers are 0.
        """
        changed = np.flatnonzero(left != self._left).astype(np.int32)
        if len(changed):
            most = np.where(left[changed], highspy.kHighsInf, 0.0)
            self._solver.changeColsBounds(len(changed), changed, np.zeros(len(changed)), most)
            self._left = left
        if seconds < highspy.kHighsInf:
            self._solver.setOptionValue("time_limit", self._solver.getRunTime() + max(0.0, seconds))
        self._solver.run()
        status = self._solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        solution = self._solver.getSolution()
        if status != highspy.HighsModelStatus.kOptimal:
            rows = self._solver.getNumRow() - self._lines
            return Relaxed(np.zeros(rows), left / np.maximum(1, left.sum()))
        multipliers = np.maximum(-np.array(solution.row_dual)[self._lines :], 0.0)
        return Relaxed(multipliers, np.array(solution.col_value)[: self._options])


def quiet_solver() -> highspy.Highs:
    """Return a solver object of one thread that prints nothing."""
    greet_quietly()
    solver = highspy.Highs()
    for option, value in (("output_flag", False), ("threads", 1), ("presolve", "off")):
        solver.setOptionValue(option, value)
    return solver


@cache
def greet_quietly() -> None:
    """Build the first solver object, which greets on standard output, with that turned away.

    A command's output is its answer; a greeting in front of it would break every reader.
    """
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        highspy.Highs()
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
