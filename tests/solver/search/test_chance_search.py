"""The least cost under a limit on the chance, held against trying every combination.

Laws and doughs are made up by a seed; the chance is written out here once more, draw by draw, from
its definition, and shares nothing with the search.
"""

import math
from typing import NamedTuple

import numpy as np
import pytest

from solver.search.chance_search import ChanceSearch
from solver.search.program import Program
from solver.search.row import Row
from solver.search.sheet_chances import ChanceLimit, Sheets, gas_cases

DRAWS = 40


class MadeUpLaw(NamedTuple):
    """A law of figures where those of rolled doughs lie."""

    ln_q: np.ndarray
    ln_q_slopes: np.ndarray
    ln_q_per_gas: np.ndarray
    phi: np.ndarray
    rise: np.ndarray
    rise_per_gas: np.ndarray
    strain: np.ndarray
    strain_slopes: np.ndarray
    bend: float
    per_rise: float
    ln_flow: np.ndarray
    face: np.ndarray
    power: np.ndarray
    scatter: np.ndarray


def made_up_law(rng: np.random.Generator) -> MadeUpLaw:
    """Draw a law."""

    def around(middle: float, spread: float) -> np.ndarray:
        return middle * np.exp(spread * rng.standard_normal(DRAWS))

    slopes = np.stack([around(s, 0.4) for s in (0.05, 0.014, 0.002, 0.005, 0.055, 0.04, 0.02)], 1)
    slopes[:, 6] *= -1
    middle = slopes @ np.array([45, 0, 0, 0, 50, 18, 12])
    per_egg = around(0.001, 0.5)
    strains = np.zeros((DRAWS, 7))
    strains[:, 0], strains[:, 6] = -per_egg / 2, per_egg
    return MadeUpLaw(
        ln_q=rng.normal(0.4, 0.6, DRAWS) - middle,
        ln_q_slopes=slopes,
        ln_q_per_gas=around(0.65, 0.5),
        phi=rng.uniform(0.2, 1.0, DRAWS),
        rise=around(0.15, 0.4),
        rise_per_gas=around(1.4, 0.35),
        strain=around(0.22, 0.2),
        strain_slopes=strains,
        bend=0.05,
        per_rise=0.09,
        ln_flow=rng.normal(-3.3, 0.6, DRAWS),
        face=around(1.3, 0.1),
        power=around(1.5, 0.2),
        scatter=around(0.035, 0.3),
    )


def chances_of(law: MadeUpLaw, grams: np.ndarray) -> np.ndarray:
    """Return the mean chance of each dough, a column of `grams`, from the definition of a draw."""
    solids, *things = grams
    percents = [100 * thing / solids for thing in things]
    soda, acid, potash, other = percents[7:]
    chances = np.zeros(len(solids))
    for i in range(DRAWS):
        heat = 0.262 * law.phi[i]
        warm, whole = heat * soda + (0.524 - heat) * acid, 0.262 * (soda + acid)
        gas = other + np.minimum(np.minimum(warm, whole), 0.524 * soda + 0.262 * potash)
        ln_q = law.ln_q[i] + law.ln_q_per_gas[i] * gas
        bears = law.strain[i]
        for percent, slope, strain in zip(
            percents[:7], law.ln_q_slopes[i], law.strain_slopes[i], strict=True
        ):
            ln_q = ln_q + slope * percent
            bears = bears + strain * percent
        flow = np.log1p(law.power[i] * np.exp(ln_q + law.ln_flow[i])) / law.power[i]
        rise = law.rise[i] + law.rise_per_gas[i] * np.minimum(gas, 0.6)
        demand = law.bend + law.per_rise * rise + law.face[i] * flow
        chances += 1 / (1 + np.exp(-(demand - bears) / law.scatter[i]))
    return chances / DRAWS


def chance_of(law: MadeUpLaw, grams: np.ndarray) -> float:
    """Return the mean chance of one dough."""
    return float(chances_of(law, grams[:, None])[0])


# grams of solids, fat, oil, firm, butter, sugars, water, egg, soda, acid, potash, gas in a gram
FLOUR = np.eye(12)[0]
BUTTER = np.array([0, 0.81, 0, 0, 0.81, 0, 0.18, 0, 0, 0, 0, 0])
SUGAR = np.array([0, 0, 0, 0, 0, 1.0, 0, 0, 0, 0, 0, 0])
HONEY = np.array([0, 0, 0, 0, 0, 0.8, 0.17, 0, 0, 0.01, 0, 0])
LEAVENERS = (np.eye(12)[8], 1.2 * np.eye(12)[10], 0.15 * np.eye(12)[11])
GRAMS = (400, 180, 200, 100, 6)


def made_up_dough(seed: int) -> tuple[Program, ChanceLimit]:
    """Draw a dough of five lines with five options each, a limit, and sometimes a row."""
    rng = np.random.default_rng(seed)
    brings = [FLOUR, BUTTER, SUGAR, HONEY, LEAVENERS[seed % 3]]
    amounts = [
        np.concatenate([[grams], grams * rng.uniform(0.0 if k == 4 else 0.6, 1.4, size=4)])
        for k, grams in enumerate(GRAMS)
    ]
    costs = tuple(
        np.where(np.arange(5) > 0, 0.05 + rng.uniform(0.4, 1.5) * np.abs(a / a[0] - 1), 0.0)
        for a in amounts
    )
    rows = []
    if seed % 2:
        sign = (1.0, -1.0, 0.0, -1.0, 0.0)
        rows = [Row("a ratio", tuple(s * a / 400 for s, a in zip(sign, amounts, strict=True)), 0.4)]
    substances = tuple(np.outer(b, a) for b, a in zip(brings, amounts, strict=True))
    if seed % 5 == 0:  # more acid than soda in some of the doughs
        substances[3][9] *= 6
    limit = ChanceLimit(substances, made_up_law(rng), float(rng.choice([0.1, 0.2, 0.4, 0.6])))
    return Program.of(costs, rows), limit


def forever() -> float:
    return math.inf


def grams_of(limit: ChanceLimit, picks) -> np.ndarray:
    return sum(line[:, pick] for line, pick in zip(limit.substances, picks, strict=True))


def every_sum(lines) -> np.ndarray:
    """Return the sum over the lines of every combination of their options."""
    total = np.zeros(1)
    for line in lines:
        total = np.add.outer(total, line)
    return total.ravel()


def least_by_trying(program: Program, limit: ChanceLimit) -> float | None:
    grams = np.stack([every_sum(lines) for lines in zip(*limit.substances, strict=True)])
    kept = chances_of(limit.law, grams) <= limit.at_most
    for row in program.rows:
        kept &= every_sum(row.coefficients) <= row.at_most
    costs = every_sum(program.costs)[kept]
    return float(costs.min()) if len(costs) else None


def search_of(program: Program, limit: ChanceLimit, seconds_left=forever) -> ChanceSearch:
    return ChanceSearch(
        program,
        limit,
        lambda picks: chance_of(limit.law, grams_of(limit, picks)) <= limit.at_most,
        seconds_left,
    )


@pytest.mark.parametrize("seed", range(40))
def test_the_least_cost_is_what_trying_everything_finds(seed, monkeypatch):
    """With lists of a hundred at most, so that bounds, slices and splits have to do the work."""
    monkeypatch.setattr("solver.search.chance_search.SHORT_LIST", 100)
    program, limit = made_up_dough(seed)
    found = search_of(program, limit).cheapest()
    least = least_by_trying(program, limit)
    assert found.proved
    assert (None if found.picks is None else found.cost) == pytest.approx(least, abs=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_without_a_first_guess_the_proof_finds_the_same(seed, monkeypatch):
    """The guess only saves time."""
    program, limit = made_up_dough(seed)
    guessed = search_of(program, limit).cheapest()
    monkeypatch.setattr("solver.search.chance_search.SHORT_LIST", 100)
    monkeypatch.setattr(ChanceSearch, "guess", lambda self, near: None)
    found = search_of(program, limit).cheapest()
    assert found.proved
    assert found.cost == pytest.approx(guessed.cost, abs=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_any_answer_exists_exactly_where_a_least_one_does(seed):
    """And it keeps the limit."""
    program, limit = made_up_dough(seed)
    search = search_of(program, limit)
    anything, least = search.any_within(), search.cheapest()
    assert (anything.picks is None) == (least.picks is None)
    if least.picks is not None:
        assert search.any_within(least.cost - 1e-7).picks is None
        assert chance_of(limit.law, grams_of(limit, anything.picks)) <= limit.at_most


@pytest.mark.parametrize("seed", range(20))
def test_tangents_lie_below_the_chance_of_every_dough_in_their_ranges(seed):
    """At any dough, over all that five options a line can make within a budget."""
    program, limit = made_up_dough(seed)
    rng = np.random.default_rng(seed)
    sheets = Sheets(limit.law)
    substances = np.stack(limit.substances, axis=1)
    reduced = np.stack(program.costs)
    budget = float(rng.uniform(0.3, 1.5))
    starts = np.arange(5) * 5
    risk = np.zeros((2, 12))  # nothing is known of the risk
    for case in gas_cases(np.hstack(limit.substances), starts):
        ranges = sheets.ranges(case, substances, reduced, budget, risk)
        for _ in range(5):
            at = substances[:, range(5), rng.integers(0, 5, size=5)].sum(axis=1)
            _, columns = sheets.tangent(case, at, ranges)
            grams = np.stack([every_sum(lines) for lines in zip(*limit.substances, strict=True)])
            looked_at = (case.rows @ grams <= 0).all(axis=0) & (every_sum(reduced) <= budget)
            some = grams[:, looked_at]
            chances = chances_of(limit.law, some)
            assert (columns @ some <= chances * some[0] + 1e-6 * some[0]).all()


def test_a_struck_deadline_keeps_the_answer_in_hand_and_a_bound():
    """The bound is no higher than the least cost; the answer keeps the limit."""
    program, limit = made_up_dough(8)
    left = iter([1.0] * 6)
    found = search_of(program, limit, lambda: next(left, 0.0)).cheapest()
    least = least_by_trying(program, limit)
    assert not found.proved
    assert found.bound <= least + 1e-9 <= found.cost + 2e-9
