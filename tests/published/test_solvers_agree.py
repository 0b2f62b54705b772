"""The same programs solved by other people's solvers, and small ones by trying everything.

HiGHS (through PuLP) is held against COIN-OR CBC and `scipy.optimize.milp`, which carries its own
build of HiGHS and its own interface; our own branch and bound is held against all of them.
"""

import itertools
from functools import cache

import numpy as np
import pulp
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from solver.search.branch_and_bound import cheapest
from solver.search.highs import model, solve
from solver.search.problem import Problem
from solver.search.program import COST_SCALE, Program
from tests.generated_recipes import generated_brief

EQUAL = 1e-6
INFEASIBLE = None


def forever() -> float:
    return 1e9


def cost_of(program: Program, picks) -> float:
    return float(sum(costs[p] for costs, p in zip(program.costs, picks, strict=True)))


def by_highs(program: Program) -> float | None:
    solution = solve(program, forever)
    return INFEASIBLE if solution.picks is None else cost_of(program, solution.picks)


def by_cbc(program: Program) -> float | None:
    problem, _ = model(program)
    path = pulp.apis.PULP_CBC_CMD.pulp_cbc_path
    problem.solve(pulp.COIN_CMD(path=path, msg=False, gapRel=0, gapAbs=0, threads=1))
    if problem.status == pulp.LpStatusInfeasible:
        return INFEASIBLE
    return float(pulp.value(problem.objective)) / COST_SCALE


def by_scipy(program: Program) -> float | None:
    sizes = [len(costs) for costs in program.costs]
    costs = np.concatenate(program.costs)
    one = np.zeros((len(sizes), len(costs)))
    for k, (start, size) in enumerate(zip(np.cumsum([0, *sizes]), sizes, strict=False)):
        one[k, start : start + size] = 1
    rows = np.array([np.concatenate(row.coefficients) for row in program.rows])
    limits = np.array([row.at_most for row in program.rows])
    found = milp(
        COST_SCALE * costs,
        constraints=[LinearConstraint(one, 1, 1), LinearConstraint(rows, -np.inf, limits)],
        integrality=np.ones(len(costs)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    return float(found.fun) / COST_SCALE if found.status == 0 else INFEASIBLE


@cache
def problem_of(seed: int) -> Problem:
    return Problem.of(generated_brief(seed))


@cache
def highs_cost_of(seed: int) -> float | None:
    """What the least answer costs, by HiGHS."""
    return by_highs(problem_of(seed).program)


@pytest.mark.parametrize("decade", range(10))
def test_highs_cbc_and_scipy_agree_on_a_hundred_generated_recipes(decade):
    """Equal cost to 1e-6, and the same verdict where nothing is feasible."""
    for seed in range(10 * decade, 10 * decade + 10):
        program = problem_of(seed).program
        costs = [highs_cost_of(seed), by_cbc(program), by_scipy(program)]
        if INFEASIBLE in costs:
            assert costs == [INFEASIBLE] * 3, f"recipe {seed}: {costs}"
        else:
            assert max(costs) - min(costs) <= EQUAL, f"recipe {seed}: {costs}"


@pytest.mark.parametrize("decade", range(10))
def test_branch_and_bound_agrees_with_highs(decade):
    """Pricing and listing end at the same cost as branch and bound over single options."""
    for seed in range(10 * decade, 10 * decade + 10):
        problem = problem_of(seed)
        found = cheapest(
            problem.program, lambda picks, p=problem: p.answer(picks).meets(p.limits), forever
        )
        assert found.proved
        listed = INFEASIBLE if found.picks is None else cost_of(problem.program, found.picks)
        assert listed == pytest.approx(highs_cost_of(seed), abs=EQUAL), f"recipe {seed}"


@pytest.mark.parametrize("seed", range(40))
def test_tiny_programs_by_trying_everything(seed):
    """With a handful of options a line, no solver is needed to know the least cost."""
    problem = problem_of(seed)
    options, program = problem.options, problem.program
    rng = np.random.default_rng(seed)
    kept = [np.unique([0, *rng.integers(0, len(each), size=3)]) for each in options]
    tiny = Program.of(
        tuple(costs[k] for costs, k in zip(program.costs, kept, strict=True)),
        tuple(
            type(row)(
                row.name,
                tuple(c[k] for c, k in zip(row.coefficients, kept, strict=True)),
                row.at_most,
            )
            for row in program.rows
        ),
    )
    feasible = [
        cost_of(tiny, picks)
        for picks in itertools.product(*(range(len(k)) for k in kept))
        if all(
            sum(c[p] for c, p in zip(row.coefficients, picks, strict=True)) <= row.at_most + 1e-9
            for row in tiny.rows
        )
    ]
    least = min(feasible, default=None)
    assert by_highs(tiny) == pytest.approx(least, abs=EQUAL)
    picks = cheapest(tiny, lambda _: True, forever).picks
    assert (INFEASIBLE if picks is None else cost_of(tiny, picks)) == pytest.approx(
        least, abs=EQUAL
    )
