"""Options in equal steps, written as one choice and a number of steps."""

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from solver.reformulate import reformulate
from solver.search import program as programs
from solver.search.highs import solve
from solver.search.options import ReadyBrief
from solver.search.program import COST_SCALE, Program, build
from solver.search.row import Row
from solver.search.stretches import SHORTEST, Stretch, binary_steps, stretches
from tests.conftest import brief_of
from tests.generated_recipes import generated_brief


@pytest.fixture
def every_program(monkeypatch):
    """Take steps in small programs too."""
    monkeypatch.setattr(programs, "MANY_OPTIONS", 0)
    monkeypatch.setattr(programs, "OPTIONS_PER_STRETCH", 0)


def spread(found: list[Stretch]) -> list[int]:
    """Return the options that the stretches cover, in their order."""
    return [j for s in found for j in range(s.first, s.first + s.steps + 1)]


def test_a_line_by_the_gram_is_two_stretches_beside_staying():
    """Cost falls towards the amount as written and rises behind it; grams rise throughout."""
    grams = np.array([100, *range(80, 100), *range(101, 131)], dtype=float)
    cost = np.abs(grams - 100) / 100
    found = stretches(np.array([cost, 3 * grams]))
    assert found == [Stretch(0, 0), Stretch(1, 19), Stretch(21, 29)]


def test_every_option_is_in_one_stretch_and_in_order():
    """Whatever the numbers, nothing is lost and nothing is there twice."""
    rng = np.random.default_rng(7)
    for _ in range(200):
        steps = rng.integers(0, 2, size=(2, rng.integers(1, 60)))
        found = stretches(np.cumsum(steps, axis=1).astype(float))
        assert spread(found) == list(range(steps.shape[1]))


def test_what_only_looks_straight_option_by_option_is_not_a_stretch():
    """A bend too small to see from one option to the next adds up over hundreds of them."""
    curved = 1.0 + 4e-12 * np.arange(400.0) ** 2
    assert all(s.steps == 0 for s in stretches(curved[None, :])[1:])


def test_few_options_stay_options():
    """A stretch shorter than SHORTEST is not worth a second variable."""
    numbers = np.arange(SHORTEST, dtype=float)[None, :]
    assert all(s.steps == 0 for s in stretches(numbers))
    numbers = np.arange(SHORTEST + 1, dtype=float)[None, :]
    assert stretches(numbers) == [Stretch(0, 0), Stretch(1, SHORTEST - 1)]


@pytest.mark.parametrize("count", [0, 1, 2, 3, 6, 7, 8, 20, 100])
def test_binary_steps_reach_every_option_and_none_beyond(count):
    """Taken or not, they add up to each number from 0 to the count."""
    sizes = binary_steps(count)
    assert set(map(sum, itertools.product(*((0, size) for size in sizes)))) == set(range(count + 1))


@pytest.mark.parametrize("seed", range(30))
def test_steps_cost_what_options_cost(seed, every_program):
    """Small made-up programs, against trying every combination."""
    rng = np.random.default_rng(seed)
    lines = [np.arange(n, dtype=float) for n in rng.integers(6, 24, size=3)]
    costs = tuple(
        np.where(n > 0, 0.05 + rng.uniform(0.01, 0.1) * np.abs(n - rng.integers(0, len(n))), 0)
        for n in lines
    )
    rows = tuple(
        Row("limit", tuple(rng.integers(-3, 4) * n for n in lines), float(rng.integers(-20, 5)))
        for _ in range(2)
    )
    program = Program.of(costs, rows)
    feasible = [
        sum(c[p] for c, p in zip(costs, picks, strict=True))
        for picks in itertools.product(*(range(len(n)) for n in lines))
        if all(
            sum(c[p] for c, p in zip(row.coefficients, picks, strict=True)) <= row.at_most
            for row in rows
        )
    ]
    found = solve(program, lambda: math.inf)
    cost = found.picks and sum(c[p] for c, p in zip(costs, found.picks, strict=True))
    assert cost == pytest.approx(min(feasible, default=None), abs=1e-9)


@pytest.mark.parametrize("measures", ["metric", "scale"])
@pytest.mark.parametrize("seed", range(5))
def test_stretches_and_single_options_have_the_same_least_cost(seed, measures, every_program):
    """Held against `scipy.optimize.milp` with a binary for each option."""
    brief = generated_brief(seed, measures=measures)
    limits = brief.named_limits()
    program = build(ReadyBrief(brief).options(limits), limits)
    assert program.is_stepped
    found = solve(program, lambda: math.inf)
    sizes = [len(costs) for costs in program.costs]
    one = np.repeat(np.eye(len(sizes)), sizes, axis=1)
    rows = np.array([np.concatenate(row.coefficients) for row in program.rows])
    at_most = np.array([row.at_most for row in program.rows])
    singly = milp(
        COST_SCALE * np.concatenate(program.costs),
        constraints=[LinearConstraint(one, 1, 1), LinearConstraint(rows, -np.inf, at_most)],
        integrality=np.ones(sum(sizes)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    assert (found.picks is None) == (singly.status != 0)
    if found.picks is not None:
        cost = sum(c[p] for c, p in zip(program.costs, found.picks, strict=True))
        assert cost == pytest.approx(singly.fun / COST_SCALE, abs=1e-9)


def test_a_batch_for_a_shop_costs_no_more_than_one_dough(lantern):
    """Fifty doughs at once: fifty times the small answer is on the finer rack, so none is dearer.

    On the scale, where no fillings are counted.
    """
    small = reformulate(brief_of({**lantern, "measures": "scale"}))
    large = reformulate(brief_of({**lantern, "measures": "scale", "batch": {"factor": 50}}))
    assert small.outcome == large.outcome == "reformulated"
    assert large.cost.total <= small.cost.total + 1e-9


def test_a_batch_for_a_shop_in_metric_measures(lantern):
    """Tens of kilograms by the gram and the millilitre spoon."""
    brief = brief_of({**lantern, "measures": "metric", "batch": {"factor": 50}})
    assert reformulate(brief).outcome == "reformulated"
