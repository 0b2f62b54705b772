"""The chance that a piece cracks: what its form demands against what its dough bears.

    z = (ε_bend + ε_rise + ε_flow − εc) / s
    a crack that shows (grade 2 or more): 1 / (1 + e^−z);  grades ≥ 1, 3, 4 at z + γ, z − γ, z − 2γ

Shown is the belief's own chance, the mean over its 512 draws, with their 10th and 90th percentiles:
four kitchens in five. Grades run from 0 (whole) through 1 (hairlines), 2 (a crack that shows) and 3
(open) to 4 (fell apart). Shown anywhere, it is shown with `solver.mechanics.dough`'s
`LIMITS_OF_THE_MODEL`: it estimates, a trial decides.
"""

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from models.chance import CrackChance, Demand, Spread
from models.formula import Formula
from models.target import Target
from solver.mechanics.belief import Draws, middle, untried
from solver.mechanics.dough import (
    FIRM_IN_THE_COLD,
    FLOWING,
    MOST_GAS_RAISING,
    REFERENCE_EGG,
    REFERENCE_FAT,
    REFERENCE_GAS,
    REFERENCE_SUGARS,
    REFERENCE_WATER,
    Substances,
    gas_percent,
    state_of,
    substances_of,
)
from solver.mechanics.sheet import flat_growth_mm, fluidity, form_strains, ln_fluidity_factor
from solver.mechanics.special import expit

RANGE = (10, 90)
"""Percentiles: the range holds four kitchens in five."""


class SheetLaw(NamedTuple):
    """What one sheet on one form makes of any dough: arrays over the draws.

    With x the percentages of `FLOWING` in the solids and G the gas:
    ln q = ln_q + ln_q_slopes x + ln_q_per_gas G,  e F = exp(ln q + ln_flow),
    rise = rise + rise_per_gas min(G, 0.6),  crack strain = strain + strain_slopes x.
    """

    ln_q: np.ndarray
    ln_q_slopes: np.ndarray  # draws by FLOWING
    ln_q_per_gas: np.ndarray
    phi: np.ndarray
    rise: np.ndarray
    rise_per_gas: np.ndarray
    strain: np.ndarray
    strain_slopes: np.ndarray  # draws by FLOWING
    bend: float
    per_rise: float
    ln_flow: np.ndarray
    face: np.ndarray
    power: np.ndarray
    scatter: np.ndarray


def law_of(target: Target, draws: Draws) -> SheetLaw:
    """Return the law of a sheet on its form."""
    slip = np.exp(draws.ln_slip)
    strains = form_strains(target.form, target.thickness_mm, slip)
    slopes = _slopes(draws, chilled=target.chilled)
    per_egg = draws.crack_strain_per_egg
    strain_slopes = np.zeros(slopes.shape)
    strain_slopes[:, FLOWING.index("fat")] = -per_egg / 2
    strain_slopes[:, FLOWING.index("egg")] = per_egg
    with np.errstate(divide="ignore"):  # a leaning panel does not flow: ln 0 is −∞
        ln_e = np.log(strains.per_fluidity)
    return SheetLaw(
        ln_q=draws.ln_growth - slopes @ _REFERENCES - draws.per_gas * REFERENCE_GAS,
        ln_q_slopes=slopes,
        ln_q_per_gas=draws.per_gas,
        phi=draws.heat_share,
        rise=draws.rise,
        rise_per_gas=draws.rise_per_gas,
        strain=draws.crack_strain + per_egg * (REFERENCE_FAT / 2 - REFERENCE_EGG),
        strain_slopes=strain_slopes,
        bend=float(strains.bend),
        per_rise=float(strains.per_rise),
        ln_flow=np.maximum(
            ln_e + ln_fluidity_factor(target.thickness_mm, slip, draws.thickness_power), NO_FLOW
        ),
        face=strains.face,
        power=strains.power,
        scatter=np.exp(draws.ln_scatter),
    )


NO_FLOW = -500.0
"""ln(e F / q) of a form on which nothing flows: finite, and e^−500 is nothing."""
_MOST_FLOW = 500.0
"""Beyond e^500 ln(1 + p e F) is ln p + ln(e F) to the last digit, and e^x soon overflows."""

_REFERENCES = np.array(
    [REFERENCE_FAT, 0.0, 0.0, 0.0, REFERENCE_SUGARS, REFERENCE_WATER, REFERENCE_EGG]
)


def _slopes(draws: Draws, *, chilled: bool) -> np.ndarray:
    """Return what each per cent of `FLOWING` adds to ln q, draws by things."""
    cold = draws.chilled / REFERENCE_FAT if chilled else 0 * draws.chilled
    per_firm = draws.per_firm + FIRM_IN_THE_COLD * cold
    slopes = (draws.per_fat, draws.per_oil, per_firm, cold)
    return np.stack([*slopes, draws.per_sugar, draws.per_water, draws.per_egg], axis=1)


def excess(law: SheetLaw, substances: Substances) -> np.ndarray:
    """Return z, draws by doughs, for the substances of one dough or of arrays of them."""
    made_of = Substances(*(np.atleast_1d(np.asarray(grams, dtype=float)) for grams in substances))
    percents = 100 * np.stack([getattr(made_of, name) for name in FLOWING]) / made_of.solids
    gas = gas_percent(made_of, law.phi[:, None])
    ln_flow = law.ln_q[:, None] + law.ln_q_slopes @ percents + law.ln_q_per_gas[:, None] * gas
    ln_flow += law.ln_flow[:, None]
    ln_power = np.log(law.power)[:, None]
    flow = np.where(
        ln_flow < _MOST_FLOW,
        np.log1p(np.exp(ln_power + np.minimum(ln_flow, _MOST_FLOW))),
        ln_power + ln_flow,
    )
    flow *= (law.face / law.power)[:, None]
    rise = law.rise[:, None] + law.rise_per_gas[:, None] * np.minimum(gas, MOST_GAS_RAISING)
    bears = law.strain[:, None] + law.strain_slopes @ percents
    z: np.ndarray = (law.bend + law.per_rise * rise + flow - bears) / law.scatter[:, None]
    return z


def chance_percents(law: SheetLaw, substances: Substances) -> np.ndarray:
    """Return the chance of a crack that shows, in per cent, of one dough or an array of them."""
    chances: np.ndarray = 100 * expit(excess(law, substances)).mean(axis=0)
    return chances


@lru_cache(maxsize=256)
def untried_law(target: Target) -> SheetLaw:
    """Return the law of a sheet in a kitchen of which nothing is known."""
    return law_of(target, untried())


def law_by(target: Target, draws: Draws | None) -> SheetLaw:
    """Return the law of a sheet by these draws; by those of an untried kitchen where none are."""
    return untried_law(target) if draws is None else law_of(target, draws)


def never_riskier(one: SheetLaw, other: SheetLaw) -> bool:
    """Tell whether no dough is likelier to crack under `one` than under `other`, draw by draw.

    They differ in what the form asks only. What flow strains, (face / power) ln(1 + power e F), is
    compared where a dough flows hardly and where it flows `_RUNNING`: the difference of two such
    curves falls first and rises then, or does one of both.
    """
    of_the_dough = ("ln_q", "ln_q_slopes", "ln_q_per_gas", "phi", "rise", "rise_per_gas")
    if not all(
        np.array_equal(getattr(one, n), getattr(other, n))
        for n in (*of_the_dough, "strain", "strain_slopes", "scatter")
    ):
        return False
    (slope, running), (other_slope, other_running) = map(_at_the_ends, (one, other))
    return bool(
        one.bend <= other.bend
        and one.per_rise <= other.per_rise
        and (slope <= other_slope).all()
        and (running <= other_running).all()
    )


_RUNNING = 20.0
"""ln q of a dough that runs off its form: whatever it lies on, it cracks for certain."""


def _at_the_ends(law: SheetLaw) -> tuple[np.ndarray, np.ndarray]:
    power = np.maximum(law.power, 1e-12)
    ln_flow = np.log(power) + law.ln_flow + _RUNNING
    return law.face * np.exp(law.ln_flow), law.bend + law.face / power * np.logaddexp(0.0, ln_flow)


def crack_percent(formula: Formula, target: Target, draws: Draws | None = None) -> float:
    """Return the chance alone, without its range."""
    return float(chance_percents(law_by(target, draws), substances_of(formula))[0])


def crack_chance(formula: Formula, target: Target, draws: Draws | None = None) -> CrackChance:
    """Return the chance that a piece cracks, with its range and what it is made of."""
    substances = substances_of(formula)
    drawn = untried() if draws is None else draws
    z = excess(law_by(target, draws), substances)[:, 0]
    gaps = np.stack([drawn.grade_gap, 0 * drawn.grade_gap, -drawn.grade_gap, -2 * drawn.grade_gap])
    grades = 100 * expit(z + gaps).mean(axis=1)
    demand, bears = middle_demand(substances, target)
    return CrackChance(
        chance_percent=spread_of(100 * expit(z), float(grades[1])),
        growth_mm=growth_mm(substances, target, drawn),
        grades_percent=(
            float(grades[0]),
            float(grades[1]),
            float(grades[2]),
            float(grades[3]),
        ),
        demand=demand,
        crack_strain=bears,
    )


def growth_mm(substances: Substances, target: Target, draws: Draws) -> Spread:
    """Return how much a flat piece of the dough grows: the form itself, else a 60 mm round."""
    drawn = growth_draws_mm(substances, target, draws)
    return spread_of(drawn, float(np.median(drawn)))


def growth_draws_mm(substances: Substances, target: Target, draws: Draws) -> Any:
    """Return the growth of a flat piece [mm] by every draw."""
    state, slip = state_of(substances, target.chilled, draws), np.exp(draws.ln_slip)
    flows = fluidity(state.ln_growth, target.thickness_mm, slip, draws.thickness_power)
    return flat_growth_mm(target.form, target.thickness_mm, slip, flows, state.rise, draws.widening)


def middle_demand(substances: Substances, target: Target) -> tuple[Demand, float]:
    """Return what the form asks, part by part, and what the dough bears, by the mean belief."""
    draws = middle()
    state, slip = state_of(substances, target.chilled, draws), np.exp(draws.ln_slip)
    strains = form_strains(target.form, target.thickness_mm, slip)
    flows = fluidity(state.ln_growth, target.thickness_mm, slip, draws.thickness_power)
    bend, rise, flow = strains.bend, strains.per_rise * state.rise, strains.flow(flows)
    demand = Demand(
        bend=float(bend), rise=float(rise), flow=float(flow), total=float(bend + rise + flow)
    )
    return demand, float(state.crack_strain)


def spread_of(drawn: np.ndarray, value: float) -> Spread:
    """Return an estimate with the range of its draws."""
    low, high = np.percentile(drawn, RANGE)
    return Spread(value=value, low=float(low), high=float(high))
