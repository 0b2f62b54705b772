"""HiGHS, through PuLP, in process: the one file that knows the solver.

One thread and a fixed seed, so that the same program gives the same answer everywhere. Rows go by
their own names; variables by indices: an ingredient's name would be mangled, and two could collide.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

import highspy
import numpy as np

from models.errors import SolverFailed
from solver.search.deadline import SecondsLeft
from solver.search.program import COST_SCALE, Program
from solver.search.relaxation import greet_quietly
from solver.search.stretches import Stretch, binary_steps

TOLERANCE = 1e-9
"""How far HiGHS may overstep a row. What it gives is judged exactly: the less it oversteps, the
fewer of its answers are sent back."""


@dataclass(frozen=True, slots=True)
class Solution:
    """What the solver found: the option picked for each line, and what no answer can go below."""

    status: Literal["optimal", "infeasible", "deadline"]
    picks: tuple[int, ...] | None
    bound: float


def solve(program: Program, seconds_left: SecondsLeft, gap: float = 0.0) -> Solution:
    """Minimise `program`, proved to within `gap`, or say that the deadline struck first."""
    seconds = seconds_left()
    if seconds <= 0:
        return Solution("deadline", None, float("-inf"))
    greet_quietly()
    import pulp  # only what is too long to list comes here: not worth a slow start

    problem, lines = model(program)
    problem.solve(
        pulp.HiGHS(
            msg=False,
            threads=1,
            timeLimit=seconds,
            gapRel=0.0,
            gapAbs=COST_SCALE * gap,
            random_seed=0,
            mip_feasibility_tolerance=TOLERANCE,
            primal_feasibility_tolerance=TOLERANCE,
            # Of options one by one, presolve takes longer than the search it saves; of steps, not.
            presolve="on" if program.is_stepped else "off",
            callbackTuple=(_stop_when_over, seconds_left),
            callbacksToActivate=[highspy.cb.HighsCallbackType.kCallbackMipInterrupt],
        )
    )
    return _read(problem, lines)


def _stop_when_over(
    _kind: Any, _message: str, _found: Any, reply: Any, seconds_left: SecondsLeft
) -> None:
    """Stop the solve at once when the caller has given up, long before its time limit."""
    if seconds_left() <= 0:
        reply.user_interrupt = True


def model(program: Program) -> tuple[Any, list[list["_Column"]]]:
    """Return the PuLP model of `program`, and line by line the columns its options became."""
    import pulp

    problem = pulp.LpProblem("dough", pulp.LpMinimize)
    lines = [_columns(problem, program, k) for k in range(len(program.costs))]
    rows = list(zip(_each_once(program.names), program.rows, strict=True))
    slacks: dict[str, Any] = {}
    for name, row in rows:
        if row.slack is not None and row.slack not in slacks:
            slacks[row.slack] = problem.add_variable(f"slack_{name}", lowBound=0)
    objective = _weighted(program.costs, lines, COST_SCALE)
    problem += objective + COST_SCALE * pulp.lpSum(slacks.values())
    for k, columns in enumerate(lines):
        problem += pulp.lpSum(column.taken for column in columns) == 1, f"one_{k}"
        for column in columns:
            for i, step in enumerate(column.steps):
                problem += step <= column.taken, f"step_{k}_{column.stretch.first}_{i}"
    for name, row in rows:
        over = _weighted(row.coefficients, lines)
        if row.slack is not None:
            over -= slacks[row.slack]
        problem += over <= row.at_most, name
    return problem, lines


def _each_once(names: Iterable[str]) -> Iterator[str]:
    """Yield every name, with a number behind it from the second time on; no two rows share one."""
    seen: Counter[str] = Counter()
    for name in names:
        seen[name] += 1
        yield name if seen[name] == 1 else f"{name}_{seen[name]}"


@dataclass(frozen=True, eq=False)
class _Column:
    """A stretch of one line's options: whether one of them is taken, and how far along it.

    The way along is a sum of binary steps of 1, 2, 4 … options. One whole number would do in
    theory; with those HiGHS was seen to go round for ever, deaf to its own time limit.
    """

    stretch: Stretch
    taken: Any
    steps: tuple[Any, ...]  # none for a lone option

    def weighted(self, numbers: np.ndarray) -> list[tuple[Any, float]]:
        """Return the terms that come to the taken option's number; none for zeros."""
        start = numbers[self.stretch.first]
        end = numbers[self.stretch.first + self.stretch.steps]
        rise = float(end - start) / max(1, self.stretch.steps)
        terms = [(self.taken, float(start))]
        terms += [(s, size * rise) for s, size in zip(self.steps, self.sizes, strict=True)]
        return [(variable, number) for variable, number in terms if number]

    @property
    def sizes(self) -> list[int]:
        """How many options each step is long; together the whole stretch."""
        return binary_steps(self.stretch.steps)

    @property
    def pick(self) -> int:
        """The option taken, once solved."""
        chosen = (round(step.value() or 0.0) for step in self.steps)
        return self.stretch.first + sum(c * n for c, n in zip(chosen, self.sizes, strict=True))


def _columns(problem: Any, program: Program, k: int) -> list[_Column]:
    columns = []
    for stretch in program.stretches[k]:
        name = f"{k}_{stretch.first}"
        taken = problem.add_variable(f"y_{name}", cat="Binary")
        steps = tuple(
            problem.add_variable(f"n_{name}_{i}", cat="Binary")
            for i in range(len(binary_steps(stretch.steps)))
        )
        columns.append(_Column(stretch, taken, steps))
    return columns


def _weighted(coefficients: Any, lines: list[list[_Column]], scale: float = 1.0) -> Any:
    import pulp

    return pulp.LpAffineExpression(
        [
            (variable, scale * number)
            for columns, numbers in zip(lines, coefficients, strict=True)
            for column in columns
            for variable, number in column.weighted(numbers)
        ]
    )


def _read(problem: Any, lines: list[list[_Column]]) -> Solution:
    solver, status = problem.solverModel, highspy.HighsModelStatus
    ended = solver.getModelStatus()
    if ended in (status.kInfeasible, status.kUnboundedOrInfeasible):
        return Solution("infeasible", None, float("inf"))
    if ended not in (status.kOptimal, status.kTimeLimit, status.kInterrupt):
        raise SolverFailed(f"HiGHS ended with {ended}")
    # PuLP calls a stop before the end "optimal" in its status and "feasible" in its sol_status,
    # whether or not anything was found; only HiGHS itself tells.
    proved = ended == status.kOptimal
    feasible = highspy.SolutionStatus.kSolutionStatusFeasible
    found = solver.getInfo().primal_solution_status == feasible
    picks = tuple(_picked(columns) for columns in lines) if found else None
    bound = solver.getInfo().mip_dual_bound / COST_SCALE
    return Solution("optimal" if proved else "deadline", picks, bound)


def _picked(columns: list[_Column]) -> int:
    return max(columns, key=lambda column: column.taken.value() or 0.0).pick
