"""The chance that a piece cracks: what its form demands against what its dough bears.

    z = (D − εc) / s,   P(grade ≥ k) = 1 / (1 + exp(θ_k − z)),   θ_1 = 0

D the demand of `solver.mechanics.sheet`, εc the crack strain of `solver.mechanics.dough`, s the
scatter between pieces baked alike; grades run from 0 (whole) to 4 (fell apart). The estimate takes
every coefficient at its mean; its range comes from drawing them all. Shown anywhere, it is shown
with `solver.mechanics.dough.LIMITS_OF_THE_MODEL`: it estimates, a trial decides.
"""

from typing import Any

import numpy as np
from scipy.special import expit, logit

from models.chance import CrackChance
from models.formula import Formula
from models.target import Target
from solver.mechanics.dough import Makeup, laws_of, makeup_of
from solver.mechanics.prior import UNTRIED_KITCHEN, Coefficients, Priors
from solver.mechanics.sheet import load_of, slip_stress

DRAWS = 2000
"""Enough that a bound of the range moves by a point or two at most from seed to seed."""

RANGE = (10, 90)
"""Percentiles: the range holds four kitchens in five."""


def crack_chance(formula: Formula, target: Target, priors: Priors = UNTRIED_KITCHEN) -> CrackChance:
    """Return the chance that `target` cracks in this dough, with its range; always the same."""
    makeup = makeup_of(formula)
    given = priors.mean
    state = laws_of(target.thickness_mm, target.chilled, given).state(makeup)
    load = load_of(target.form, target.thickness_mm, np.exp(given.ln_slip))
    drawn = 100 * expit(excess(makeup, target, target.thickness_mm, priors.draws(DRAWS)))
    low, high = np.percentile(drawn, RANGE)
    grades = grade_percents(excess(makeup, target, target.thickness_mm, given), given)
    return CrackChance(
        percent=grades[0],
        low_percent=float(low),
        high_percent=float(high),
        grades_percent=grades,
        demand=load.demand(float(np.exp(state.ln_fluidity)), float(state.rise)),
        crack_strain=float(state.crack_strain),
        slip_stress_pa=slip_stress(target.form, target.thickness_mm),
    )


def crack_percent(
    formula: Formula, target: Target, given: Coefficients = UNTRIED_KITCHEN.mean
) -> float:
    """Return the chance alone, at one set of coefficients, without its range."""
    return float(100 * expit(excess(makeup_of(formula), target, target.thickness_mm, given)))


def excess(makeup: Makeup, target: Target, thickness_mm: Any, given: Coefficients) -> Any:
    """z = (D − εc) / s, for coefficients or thicknesses that may be arrays."""
    state = laws_of(thickness_mm, target.chilled, given).state(makeup)
    load = load_of(target.form, thickness_mm, np.exp(given.ln_slip))
    demand = load.total(np.exp(state.ln_fluidity), state.rise)
    return (demand - state.crack_strain) / np.exp(given.ln_scatter)


def margin(at_most_percent: float, given: Coefficients) -> float:
    """Return s logit(1 − p): by how much demand must stay below crack strain for a chance of p."""
    return float(np.exp(given.ln_scatter) * logit(1 - at_most_percent / 100))


def grade_percents(z: float, given: Coefficients) -> tuple[float, float, float, float]:
    """Return the chances of damage of at least grade 1, 2, 3 and 4, in per cent."""
    gaps = [0.0, *np.exp([given.ln_grade_gap_2, given.ln_grade_gap_3, given.ln_grade_gap_4])]
    one, two, three, four = (float(p) for p in 100 * expit(z - np.cumsum(gaps)))
    return one, two, three, four
