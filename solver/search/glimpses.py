"""Glimpses: what a problem shows of its limits without being solved.

One move away from an answer, or one relaxation: each spares the reasons and the conflicts
(`solver.answers`) most of their questions, and proves nothing that they do not ask then.
"""

from collections.abc import Iterator

import numpy as np

from models.limits import CrackLimit, Limit, RatioLimit
from solver.search.answer import Answer, Picks
from solver.search.problem import Problem
from solver.search.relaxation import Relaxation, Relaxed
from solver.search.row import Coefficients
from solver.search.table import Table


def gained_by_one_move(problem: Problem, answer: Answer, at_most: float) -> set[Limit]:
    """Return ratio limits without which one move away from `answer` there is one at `at_most`.

    Not every such limit: it is a quick look, and only without a form.
    """
    gained: set[Limit] = set()
    limits = problem.limits
    if any(isinstance(limit, CrackLimit) for limit in limits) or problem.program.is_stepped:
        return gained
    for broken, picks in _one_row_broken(problem, answer.picks, at_most):
        others = [limit for limit in limits if limit != broken]
        if broken not in gained and problem.answer(picks).meets(others):
            gained.add(broken)
    return gained


def _one_row_broken(
    problem: Problem, picks: Picks, at_most: float
) -> Iterator[tuple[RatioLimit, Picks]]:
    """Yield ratio limits, and answers costing `at_most` one move away that break only them."""
    table = Table.of(problem.program)
    limits = _ratio_limits(problem)
    use, costs = table.one_move_from(table.starts + np.array(picks))
    broken = use > table.room[:, None]
    for option in np.flatnonzero((broken.sum(axis=0) == 1) & (costs <= at_most)).tolist():
        row, line = int(broken[:, option].argmax()), int(table.of_line[option])
        if row < len(limits):  # below them are the rows of what may not vanish
            pick = option - int(table.starts[line])
            yield limits[row], (*picks[:line], pick, *picks[line + 1 :])


def loose_when_broken(problem: Problem) -> list[Limit]:
    """Return ratio limits that have no part in why the relaxation misses the rows the least.

    Where all together cannot be met, these mostly have nothing to do with it.
    """
    relaxed = _relaxed(problem, problem.program.costs, elastic=True)
    if relaxed is None:
        return []
    limits = _ratio_limits(problem)
    parts = zip(limits, relaxed.multipliers[: len(limits)], strict=True)
    return [limit for limit, multiplier in parts if multiplier <= 0]


def relaxed_minimum(problem: Problem, costs: Coefficients) -> float:
    """Return what these costs cannot fall below, were amounts continuous."""
    relaxed = _relaxed(problem, costs)
    if relaxed is None:
        return np.inf
    table = Table.of(problem.program.minimising(costs))
    every = np.ones(len(table.costs), dtype=bool)
    return table.floor_of(table.costs, relaxed.multipliers, every)[0]


def _relaxed(problem: Problem, costs: Coefficients, *, elastic: bool = False) -> Relaxed | None:
    table = Table.of(problem.program.minimising(costs))
    relaxation = Relaxation(table.costs, table.use, table.room, table.starts, elastic=elastic)
    return relaxation.solve(np.ones(len(table.costs), dtype=bool), problem.seconds_left())


def _ratio_limits(problem: Problem) -> list[RatioLimit]:
    """Return the limits whose rows come first in the program, in their order."""
    return [limit for limit in problem.limits if isinstance(limit, RatioLimit)]
