"""What is believed of a dough before any bake: every coefficient, how sure of it, and from where.

Few of these were measured on rolled doughs, so most spreads are wide and say "judgement". What the
coefficients mean for a formula is `solver.mechanics.dough`; learning better ones from a kitchen's
own bakes starts here.
"""

import math
from typing import Any, NamedTuple

import numpy as np


class Coefficients(NamedTuple):
    """Every figure that the model takes on trust or learns; numbers, or arrays of draws.

    `..._per_x` is for each per cent of the flour, fluidity always as its natural logarithm.
    """

    ln_fluidity: Any  # of the reference dough, F in 1/Pa
    fluidity_per_fat: Any
    fluidity_per_shortening_fat: Any  # beyond that of fat
    fluidity_per_sugar: Any
    fluidity_per_water: Any
    fluidity_per_egg: Any  # beyond that of its water
    fluidity_per_powder: Any
    fluidity_chilled_butter: Any  # at the reference's fat, all of it butter
    fluidity_chilled_shortening: Any  # the same, all of it shortening
    fluidity_thickness_power: Any  # n of F ∝ (t / 5 mm)^n
    rise: Any  # without any leavening
    rise_per_powder: Any
    crack_strain: Any  # of the reference dough
    crack_strain_per_egg: Any
    crack_strain_per_water: Any
    crack_strain_chilled: Any
    ln_slip: Any  # slip length at the seat, in m
    ln_scatter: Any  # of strain, between pieces baked alike: the s of the chance
    ln_grade_gap_2: Any  # from one grade of damage to the next, in units of the scatter
    ln_grade_gap_3: Any
    ln_grade_gap_4: Any


_MEAN_AND_SD = {
    # Judgement, from a dough that widens a 60 mm round by two or three millimetres.
    "ln_fluidity": (math.log(2.5e-2), 0.8),
    # Sudha et al. 2007: the hardness of dough against its fat.
    "fluidity_per_fat": (0.060, 0.030),
    # Judgement; the effect is mixed up with the water of butter.
    "fluidity_per_shortening_fat": (-0.0055, 0.0045),
    # Manohar & Rao 1997: biaxial viscosity at 25 and 35 % sugar. Chugh et al. 2013: diameters.
    "fluidity_per_sugar": (0.050, 0.020),
    # Judgement.
    "fluidity_per_water": (0.100, 0.050),
    "fluidity_per_egg": (-0.010, 0.020),
    # Chugh et al. 2013: diameter against baker's ammonia.
    "fluidity_per_powder": (0.12, 0.10),
    # The trade's rule that chilled dough spreads less, butter most; no source.
    "fluidity_chilled_butter": (-0.25, 0.20),
    "fluidity_chilled_shortening": (-0.08, 0.15),
    # A thick sheet sets later. Judgement.
    "fluidity_thickness_power": (1.0, 0.2),
    # Judgement; Chevallier 2000 read 1.26 g/cm³ of a short dough and 0.42 of its biscuit.
    "rise": (0.15, 0.06),
    "rise_per_powder": (0.22, 0.08),
    # The trade's knowledge that thick sheets crack on a curve and thin ones do not; no source.
    "crack_strain": (0.20, 0.06),
    "crack_strain_per_egg": (0.004, 0.002),
    "crack_strain_per_water": (0.004, 0.003),
    "crack_strain_chilled": (-0.02, 0.02),
    # Nobody has measured it.
    "ln_slip": (math.log(1e-3), 1.2),
    # Judgement.
    "ln_scatter": (math.log(0.05), 0.35),
    "ln_grade_gap_2": (math.log(0.9), 0.3),
    "ln_grade_gap_3": (math.log(0.9), 0.3),
    "ln_grade_gap_4": (math.log(0.9), 0.3),
}

GROWTH_SCATTER_MM = 0.6
GROWTH_SCATTER_SHARE = 0.25
"""How far the growth of a flat round strays from the model's: this much and this share of it."""

LN_FLUIDITY_SD_UNTRIED = 1.5
"""The least spread of ln F in a kitchen that has not yet measured a flat round."""


class Priors(NamedTuple):
    """What is believed of the coefficients before any bake: independent normal distributions."""

    mean: Coefficients
    sd: Coefficients

    def draws(self, count: int, seed: int = 0) -> Coefficients:
        """Return `count` draws of every coefficient, the same for the same seed."""
        normal = np.random.default_rng(seed).standard_normal((len(self.mean), count))
        drawn = (m + sd * z for m, sd, z in zip(self.mean, self.sd, normal, strict=True))
        return Coefficients(*drawn)


PRIORS = Priors(
    mean=Coefficients(**{name: mean for name, (mean, _) in _MEAN_AND_SD.items()}),
    sd=Coefficients(**{name: sd for name, (_, sd) in _MEAN_AND_SD.items()}),
)
"""A kitchen that has measured how much a flat round of its dough grows."""

UNTRIED_KITCHEN = PRIORS._replace(sd=PRIORS.sd._replace(ln_fluidity=LN_FLUIDITY_SD_UNTRIED))
"""A kitchen of which nothing is known."""
