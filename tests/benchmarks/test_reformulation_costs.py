"""What a reformulation costs, beside a bare run of HiGHS on the same program in the same run.

Prints; asserts nothing about time, which on a shared machine would only measure the neighbours.
Run with `make bench`; RECIPES sets how many doughs are generated (1,000 unless told).
"""

import os
import time
from collections import Counter

import highspy
import numpy as np
import pytest
from scipy.optimize import linprog

from models.brief import Brief
from models.limits import RatioLimit
from models.ratios import RATIOS, add_masses, masses_of, masses_per_gram
from solver.answers.recheck import recheck
from solver.reformulate import reformulate
from solver.search.problem import Problem
from solver.search.program import COST_SCALE, Program
from tests.generated_recipes import generated_brief, generated_long_brief

DEADLINE = 10.0
"""Seconds, as the service has it."""

RECIPES = int(os.environ.get("RECIPES", "1000"))

pytestmark = pytest.mark.benchmark


def bare_run_seconds(program: Program) -> float:
    """Return the time of highspy's own run() on the choose-one program."""
    sizes = [len(costs) for costs in program.costs]
    one = np.repeat(np.eye(len(sizes)), sizes, axis=1)
    matrix = np.vstack([one, np.hstack(program.use)])
    lp = highspy.HighsLp()
    lp.num_row_, lp.num_col_ = matrix.shape
    lp.col_cost_ = COST_SCALE * np.concatenate(program.costs)
    lp.col_lower_, lp.col_upper_ = np.zeros(lp.num_col_), np.ones(lp.num_col_)
    below = np.full(len(program.room), -highspy.kHighsInf)
    lp.row_lower_ = np.concatenate([np.ones(len(sizes)), below])
    lp.row_upper_ = np.concatenate([np.ones(len(sizes)), program.room])
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum((matrix != 0).sum(axis=1))])
    lp.a_matrix_.index_ = np.nonzero(matrix)[1]
    lp.a_matrix_.value_ = matrix[matrix != 0]
    lp.integrality_ = [highspy.HighsVarType.kInteger] * lp.num_col_
    solver = highspy.Highs()
    for option, value in (("output_flag", False), ("threads", 1), ("mip_rel_gap", 0.0)):
        solver.setOptionValue(option, value)
    solver.passModel(lp)
    started = time.perf_counter()
    solver.run()
    return time.perf_counter() - started


def rounding_breaks(brief: Brief) -> bool | None:
    """Tell whether the continuous optimum, rounded to the nearest measures, breaks a bound.

    None where even the continuous brief is infeasible.
    """
    problem = Problem.of(brief)
    ready, limits = problem.ready, problem.limits
    options = problem.options
    ratio_limits = [limit for limit in limits if isinstance(limit, RatioLimit)]
    movable = [len(each) > 1 for each in options]
    grams0 = np.array([float(each.line.grams) for each in options])
    shares = [masses_per_gram(c.line.ingredient, brief.powder_strength) for c in options]
    costs, bounds = [], []
    for each, free, start in zip(options, movable, grams0, strict=True):
        weight = float(brief.weight_of(each.line.role) or 0)
        unit = start or 0.05 * float(ready.before.flour_grams)
        reach = each.grams
        costs += [weight / unit] * 2
        bounds += [(0, max(reach) - start if free else 0), (0, start - min(reach) if free else 0)]
    rows, rights = [], []
    for limit in ratio_limits:
        sign, ratio, value = 1 if limit.side == "max" else -1, RATIOS[limit.ratio], limit.value
        slope = [float(sign * (ratio.numerator(s) - value * ratio.denominator(s))) for s in shares]
        rows.append([x for s in slope for x in (s, -s)])
        rights.append(-float(np.dot(slope, grams0)))
    found = linprog(costs, A_ub=rows, b_ub=rights, bounds=bounds)
    if found.status != 0:
        return None
    moves = found.x.reshape(-1, 2)
    amounts = []
    for each, start, (up, down) in zip(options, grams0, moves, strict=True):
        near = int(np.abs(each.grams - (start + up - down)).argmin())
        amounts.append(each.amount(near))
    masses = add_masses(masses_of(amount, brief.powder_strength) for amount in amounts)
    return not all(limit.holds(masses) for limit in ratio_limits)


def percentile(values: list[float], share: float) -> float:
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def test_reformulations_beside_bare_highs():
    """Every answer passes the exact re-check; times and ratios are printed."""
    outcomes: Counter[str] = Counter()
    whole: list[float] = []
    bare: list[float] = []
    broken = rounded = 0
    for seed in range(RECIPES):
        brief = generated_brief(seed)
        started = time.perf_counter()
        outcome = reformulate(brief, lambda s=started: DEADLINE - (time.perf_counter() - s))
        whole.append(time.perf_counter() - started)
        recheck(brief, outcome)  # raises where a promise is broken
        outcomes[outcome.outcome] += 1
        bare.append(bare_run_seconds(Problem.of(brief).program))
        breaks = rounding_breaks(brief)
        if breaks is not None:
            rounded += 1
            broken += breaks
        if (seed + 1) % 100 == 0:
            print(f"{seed + 1} of {RECIPES} recipes", flush=True)
    print(f"outcomes {dict(outcomes)}; exact re-checks failed 0 of {RECIPES}")
    print(f"rounding the continuous optimum broke a bound in {broken} of {rounded} recipes")
    ratios = [a / b for a, b in zip(whole, bare, strict=True)]
    for name, share in (("median", 0.5), ("p90", 0.9), ("p99", 0.99)):
        ours, theirs = 1000 * percentile(whole, share), 1000 * percentile(bare, share)
        times = f"{ours:.1f} ms, bare HiGHS {theirs:.1f} ms"
        print(f"{name}: {times}; of the ratios {percentile(ratios, share):.2f}")


@pytest.mark.parametrize("lines", [8, 15, 30, 60, 120, 200])
def test_a_curve_over_lines(lines):
    """Longer recipes take longer, without a cliff; the deadline holds at any length."""
    for seed in (1, 2):
        brief = generated_long_brief(seed, lines)
        started = time.perf_counter()
        outcome = reformulate(brief, lambda s=started: DEADLINE - (time.perf_counter() - s))
        took = time.perf_counter() - started
        print(f"{lines} lines: {outcome.outcome} in {took:.2f} s")
        assert took <= DEADLINE + 0.5
