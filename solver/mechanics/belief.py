"""What is believed of doughs before any bake: every coefficient, how sure of it, and from where.

Few of these were measured on rolled doughs, so most spreads are wide and say "judgement". The
belief is held as 512 fixed draws of every coefficient, always the same: an estimate is a mean over
them. A flat round that was baked and measured (`draws_after`) picks the draws that agree with it.
What the coefficients mean for a formula is `solver.mechanics.dough`.
"""

import math
from functools import cache
from typing import Any, Literal, NamedTuple

import numpy as np

from solver.mechanics.special import ndtri


class Draws(NamedTuple):
    """Every coefficient of the model, in the order of their table; numbers or arrays of draws.

    Percentages are of the solids. `ln_growth` is the natural logarithm of q [mm]: how much a 60 mm
    round, 5 mm thick, of the reference dough grows in diameter by flow.
    """

    ln_growth: Any
    per_fat: Any
    per_oil: Any  # beyond that of fat
    per_firm: Any  # beyond that of fat
    per_sugar: Any
    per_water: Any
    per_egg: Any  # beyond that of its water and fat
    per_gas: Any  # for each % of CO2
    chilled: Any  # at 45 % of butter fat
    thickness_power: Any  # n of F ∝ t^n
    rise: Any  # without any gas
    rise_per_gas: Any
    heat_share: Any  # φ: the share of heat's yield that comes before the set
    crack_strain: Any  # of the reference dough
    crack_strain_per_egg: Any
    ln_slip: Any  # slip length at the seat, in m
    ln_scatter: Any  # of strain, between pieces baked alike
    widening: Any  # χ: how much rising alone widens a round
    grade_gap: Any  # γ: from one grade of damage to the next, in units of the scatter


Kind = Literal["normal", "log_normal", "share"]

_BELIEF: dict[str, tuple[Kind, float, float]] = {
    # The trade: rounds grow by 1/16 to 1/8 in. Common practice, no source.
    "ln_growth": ("normal", math.log(1.5), 0.6),
    # Sudha et al. 2007, the hardness of dough against its fat; Chugh et al. 2013, diameters.
    "per_fat": ("log_normal", 0.050, 0.4),
    # The order of fats: Jacob & Leelavathi 2007. Sizes are judgement.
    "per_oil": ("log_normal", 0.014, 0.5),
    "per_firm": ("normal", -0.002, 0.003),
    # Manohar & Rao 1997, biaxial viscosity at 25 and 35 % sugar; Chugh et al. 2013.
    "per_sugar": ("log_normal", 0.055, 0.3),
    # Chugh et al. 2013 found nothing, others more spread with more water; judgement.
    "per_water": ("log_normal", 0.040, 0.6),
    # The trade: with the egg left out a dough spreads alike. Common practice, no source.
    "per_egg": ("normal", -0.035, 0.020),
    # Chugh et al. 2013: diameter against baker's ammonia.
    "per_gas": ("log_normal", 0.65, 0.5),
    # The trade, and home trials that disagree; against it Gaines et al. 1988.
    "chilled": ("normal", -0.25, 0.25),
    # A thick sheet sets later. Judgement.
    "thickness_power": ("normal", 1.0, 0.2),
    # Judgement; the cap on gas and the slope meet the slope of volume in Chugh et al. 2013.
    "rise": ("log_normal", 0.15, 0.4),
    "rise_per_gas": ("log_normal", 1.4, 0.35),
    # Setting at 71 to 78 °C cuts the gas of heat short: Miller & Hoseney 1996.
    "heat_share": ("share", 0.70, 0.15),
    # Set so that what the trade knows holds (thick sheets crack, thin ones do not); unmeasured.
    "crack_strain": ("log_normal", 0.21, 0.20),
    # Judgement: egg binds, fat shortens.
    "crack_strain_per_egg": ("log_normal", 0.001, 0.5),
    # Nobody has measured it; a frictionless seat would crack everything.
    "ln_slip": ("normal", math.log(1e-3), 0.7),
    # Set with the crack strain; unmeasured.
    "ln_scatter": ("normal", math.log(0.035), 0.3),
    # Judgement.
    "widening": ("log_normal", 0.02, 0.5),
    "grade_gap": ("log_normal", 0.9, 0.3),
}

LEAST_HEAT_SHARE = 0.2
DRAWS = 512
_GENERATOR = 135
"""Of Korobov's lattice: points spread evenly over all coefficients at once, without chance."""


def draws_of(normals: np.ndarray) -> Draws:
    """Return the coefficients at standard normal scores, one row a coefficient."""
    return Draws(
        *(_at(belief, score) for belief, score in zip(_BELIEF.values(), normals, strict=True))
    )


def _at(belief: tuple[Kind, float, float], score: np.ndarray) -> np.ndarray:
    kind, middle, spread = belief
    if kind == "log_normal":
        return np.asarray(middle * np.exp(spread * score))
    drawn = middle + spread * score
    return np.clip(drawn, LEAST_HEAT_SHARE, 1.0) if kind == "share" else np.asarray(drawn)


@cache
def lattice(count: int, coefficients: int = len(_BELIEF)) -> np.ndarray:
    """Return standard normal scores of `count` draws, one row a coefficient; a power of two.

    What is believed of more than the model's own coefficients comes after them.
    """
    modulus = 2 * count
    generators = [pow(_GENERATOR, j, modulus) for j in range(coefficients)]
    odd = 2 * np.arange(count) + 1
    scores: np.ndarray = ndtri(np.outer(generators, odd) % modulus / modulus)
    return scores


@cache
def untried() -> Draws:
    """Return the belief of a kitchen of which nothing is known."""
    return draws_of(lattice(DRAWS))


@cache
def middle() -> Draws:
    """Return every coefficient at its median: what a drawing shows as one sheet."""
    return Draws(*(float(x) for x in draws_of(np.zeros(len(_BELIEF)))))
