"""The crack limit inside the program: a convex limit, closed by tangents.

On a form a chance of at most p means, with m the flour and X = m ln F, R = m r, C = m εc linear in
grams (`solver.mechanics.dough`), K, k_r and ε_w of the form (`solver.mechanics.sheet`), and margin
= s logit(1 − p):

    m ε_w + k_r R + K m exp(X/m) − C ≤ −margin m

m exp(X/m) is a perspective function and convex, so each tangent at x0 lies below it:

    m exp(X/m) ≥ m e^x0 (1 − x0) + e^x0 X

A few tangents are in the program from the start; where an answer meets them all and still breaks
the true limit, the tangent at that answer is added and the program solved again.
"""

from collections.abc import Sequence

import numpy as np

from models.formula import Formula
from models.ingredient import Ingredient
from models.limits import CrackLimit
from solver.mechanics.chance import margin
from solver.mechanics.dough import Law, laws_of, makeup_of, makeup_per_gram
from solver.mechanics.prior import UNTRIED_KITCHEN
from solver.mechanics.sheet import Load, load_of
from solver.search.judging import Weighed
from solver.search.options import LineOptions
from solver.search.row import Row

STARTING_TANGENTS = (-3.0, -2.0, -1.5, -1.25, -1.0, -0.75, -0.5, -0.375, -0.25, -0.125, 0.0, 0.25)
"""Below the ln F at which flow alone would reach MOST_STRAIN: closest where a chance is decided."""

MOST_STRAIN = 0.3
"""More than any dough bears: an answer within the limit flows less."""

_GIVEN = UNTRIED_KITCHEN.mean


def crack_rows(
    limit: CrackLimit, options: Sequence[LineOptions], slack: str | None = None
) -> list[Row]:
    """Return the tangents that stand in the program from the start."""
    per_fluidity = float(_load(limit).per_fluidity)
    if not per_fluidity:  # a form on which nothing flows; any tangent says all
        return [tangent_row(limit, options, 0.0, slack)]
    most = float(np.log(MOST_STRAIN / per_fluidity))
    return [tangent_row(limit, options, most + step, slack) for step in STARTING_TANGENTS]


def staying_formula(options: Sequence[LineOptions], limit: CrackLimit) -> Formula:
    """Return the dough in which every line stays."""
    staying = tuple(each.stay.amount for each in options)
    return Weighed(staying, limit.powder_strength).formula


def tangent_at(limit: CrackLimit, options: Sequence[LineOptions], formula: Formula) -> Row:
    """Return the tangent that touches the true limit at `formula`."""
    return tangent_row(limit, options, _ln_fluidity(limit, formula))


def tangent_row(
    limit: CrackLimit,
    options: Sequence[LineOptions],
    at: float,
    slack: str | None = None,
) -> Row:
    """Σ [(ε_w + margin) m + k_r R + K (e^x0 (1 − x0) m + e^x0 X) − C] y / m0 ≤ 0, at x0."""
    target = limit.target
    laws = laws_of(target.thickness_mm, target.chilled, _GIVEN)
    load = _load(limit)
    spare = margin(float(limit.percent), _GIVEN)
    flow, touching = float(load.per_fluidity), float(np.exp(at))
    x, r, c = (_column(law, options, limit.powder_strength) for law in laws)
    coefficients = tuple(
        (load.wrapping + spare + flow * touching * (1 - at)) * each.masses.flour
        + load.per_rise * r[k]
        + flow * touching * x[k]
        - c[k]
        for k, each in enumerate(options)
    )
    flour = sum(each.masses.flour[0] for each in options)
    return Row(limit.name, tuple(row / flour for row in coefficients), 0.0, slack)


def _column(law: Law, options: Sequence[LineOptions], powder_strength: float) -> list[np.ndarray]:
    """Return what every option adds to the law's value × flour."""

    def per_gram(ingredient: Ingredient) -> np.ndarray:
        return np.array([float(law.times_flour(makeup_per_gram(ingredient, powder_strength)))])

    return [each.weighted(per_gram)[0] for each in options]


def _load(limit: CrackLimit) -> Load:
    target = limit.target
    return load_of(target.form, target.thickness_mm, np.exp(_GIVEN.ln_slip))


def _ln_fluidity(limit: CrackLimit, formula: Formula) -> float:
    target = limit.target
    law = laws_of(target.thickness_mm, target.chilled, _GIVEN).ln_fluidity
    return float(law.at(makeup_of(formula)))
