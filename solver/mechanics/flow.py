"""Flow: how far a softened sheet creeps under its own weight, and what that stretches.

The sheet is thin, so everything is averaged over its depth: Trouton's viscosity 4η resists
stretching, shear at the seat resists sliding, weight drives. Displacements are taken over the whole
bake, so the viscosity enters only through the fluidity F = ∫dt/η between melting and setting, and
every strain here is proportional to F. SI units; arrays broadcast.

    h thickness [m]   R radius of the form [m]   φe angle from crown to edge [rad]   F [1/Pa]
    λ slip length at the seat [m]: 0 stuck, ∞ frictionless
    u displacement along the form [m]   ρ density [kg/m³]   g gravity [m/s²]

Cylinder, dome, round and cone are held against independent numerical solutions; the flat panel is a
plain estimate that nothing was held against. What a form asks of a dough is
`solver.mechanics.sheet`.
"""

from typing import Any

import numpy as np

from models.template import DOUGH_DENSITY
from solver.mechanics.special import ive

DENSITY = 1000 * DOUGH_DENSITY
"""kg/m³. Only its product with the fluidity matters: a fluidity is told by a round's growth."""

GRAVITY = 9.81
"""m/s²."""


def stretch_length(h: Any, slip: Any) -> Any:
    """l = sqrt(4 h (h + 3λ) / 3): how far along the sheet an edge is felt [m]."""
    return np.sqrt(4 * h * (h + 3 * slip) / 3)


def outer_face(h: Any, slip: Any) -> Any:
    """(h/2 + λ) / (h/3 + λ): displacement of the outer face over the average through the depth."""
    return 1 + (h / 6) / (h / 3 + slip)


def crown_strain(h: Any, radius: float, half_wrap: float, fluidity: Any, slip: Any) -> Any:
    """Return the average strain at the crown of a cylinder draped to ±φe.

    4h u'' − 3u/(h+3λ) + ρ g h F sin φ = 0, u = 0 at the crown and u' = 0 at the free edge, gives
    ε = (A/R) [1 − cos φe / cosh(R φe/l)],  A = ρ g h F / (4h/R² + 3/(h+3λ)).
    Stuck: ρ g h² F/(3R). Frictionless: ρ g R F (1 − cos φe)/4.
    """
    decay = np.exp(-radius * half_wrap / stretch_length(h, slip))
    edge = np.cos(half_wrap) * 2 * decay / (1 + decay**2)
    return drift(h, radius, fluidity, slip) / radius * (1 - edge)


def drift(h: Any, radius: float, fluidity: Any, slip: Any, stretching: float = 4.0) -> Any:
    """A = ρ g h F / (4h/R² + 3/(h+3λ)): displacement on a slope of 90° far from any edge [m].

    `stretching` is 4 where the sheet stretches one way, 6 where it stretches both ways alike.
    """
    resisting = stretching * h / radius**2 + 3 / (h + 3 * slip)
    return DENSITY * GRAVITY * h * fluidity / resisting


def apex_strain(h: Any, radius: float, cap: float, fluidity: Any, slip: Any) -> Any:
    """Return the average strain, the same both ways, at the apex of a dome draped to φe.

    The balance of `crown_strain` with hoops, u'' + cot φ u' − u/sin² φ + q u = −ρ g F R² sin φ / 4
    in the angle, q = 1/2 − 3R²/(4h(h+3λ)), and 4u' + 2u cot φ = 0 at the free rim, gives
    ε = (A/R) [1 − X],  A = ρ g h F / (6h/R² + 3/(h+3λ)),  X from `rim_effect`.
    Stuck it is the cylinder's strain; frictionless and draped to 75° it is 0.65 of that.
    """
    edge = rim_effect(h, radius, cap, slip)
    return drift(h, radius, fluidity, slip, stretching=6.0) / radius * (1 - edge)


def rim_effect(h: Any, radius: float, cap: float, slip: Any) -> Any:
    """X = 6 cos φe / (4 v'(φe) + 2 cot φe v(φe)): the share of the strain that a free rim takes."""
    along, hoop = rim_strains(rim_number(h, radius, cap, slip), cap)
    return 6 * np.cos(cap) / (4 * along + 2 * hoop)


def rim_number(h: Any, radius: float, cap: float, slip: Any) -> Any:
    """q = 1/2 − 3R²/(4h(h+3λ)), kept to where a rim can be felt at the apex at all."""
    farthest = -((60 / cap) ** 2)  # e^-60 of the rim's effect is left at the apex
    return np.maximum(0.5 - radius**2 / stretch_length(h, slip) ** 2, farthest)


def rim_strains(number: Any, angle: Any) -> tuple[Any, Any]:
    """Return v' and v cot φ of the edge's own solution v, regular at the apex, v' = 1 there.

    v = sin φ Σ c_n x^n,  x = sin²(φ/2),  c_{n+1}/c_n = (n² + 3n + 2 − q) / ((n+1)(n+2)): the
    hypergeometric form of the associated Legendre function of order 1 with ν(ν+1) = q.
    """
    x = np.sin(angle / 2) ** 2
    term = np.ones(np.broadcast(number, x).shape)
    total, slope = term, 0.0 * term
    for n in range(400):  # x is at most 3/4, so the last term is below 1e-16 of the sum
        slope = slope + (n + 1) * _next(term, n, number)
        term = _next(term, n, number) * x
        total = total + term
    hoop = np.cos(angle) * total
    return hoop + np.sin(angle) ** 2 / 2 * slope, hoop


def _next(term: Any, n: int, number: Any) -> Any:
    return term * (n * n + 3 * n + 2 - number) / ((n + 1) * (n + 2))


def round_growth(h: Any, radius: Any, fluidity: Any, slip: Any) -> Any:
    """Return how much the diameter of a flat round of radius a grows by flow [m].

    u = C I1(r/l), C from 4u' + 2u/r = ρ g h F/2 at r = a; the diameter grows by 2 u(a).
    Frictionless: a ρ g h F/6.
    """
    x = np.maximum(radius / stretch_length(h, slip), 1e-6)  # I1(x) is x/2 long before that
    stiffness = 4 * x * ive(0, x) / ive(1, x) - 2  # a (4u' + 2u/a) / u at the rim
    return DENSITY * GRAVITY * h * fluidity * radius / stiffness


def panel_growth(h: Any, width: float, fluidity: Any, slip: Any) -> Any:
    """Return how much a flat rectangle grows across its width [m].

    4h u'' = 3u/(h+3λ) with 4u' = ρ g h F/2 at both edges, so u = ρ g h F l tanh(w/2l) / 8 at each.
    """
    length = np.minimum(stretch_length(h, slip), 1e3)  # l tanh(w/2l) is w/2 long before
    reach = np.tanh(width / 2 / length) * length
    return DENSITY * GRAVITY * h * fluidity * reach / 4


def cone_foot_strain(
    h: Any, top: float, slant: float, slope: float, fluidity: Any, slip: Any
) -> Any:
    """Return the hoop strain at the upper edge of a sheet on a cone that stands on its foot.

    e = ρ g sin β F / (4 κ² T) · (1 − 1/cosh κL),  κ² = 1/l² + 1/T², with T the distance of the
    upper edge from the apex and L the slant [m], β the slope [rad]. The foot does not move.
    """
    kappa = np.sqrt(1 / stretch_length(h, slip) ** 2 + 1 / top**2)
    held = np.minimum(kappa * slant, 700.0)  # cosh overflows beyond, long after 1/cosh is nothing
    pull = DENSITY * GRAVITY * np.sin(slope) * fluidity / (4 * kappa**2 * top)
    return pull * (1 - 1 / np.cosh(held))


def thinned(h: Any, strain: Any, power: Any) -> Any:
    """Return what is left of `h` where the strain grows with thickness to `power`.

    dh = −h dε, ε ∝ h^p, gives h (1 + p ε)^(−1/p); with p = 0 it is h e^(−ε). A sheet that is
    pushed together thickens by as much as it shortens.
    """
    drawn = np.maximum(strain, 0.0)
    p = np.maximum(power, 1e-9)
    return h * np.exp(-np.log1p(p * drawn) / p) - h * np.minimum(strain, 0.0)


def thinning_power(h: Any, radius: float, slip: Any) -> Any:
    """p = d ln A / d ln h = (1 + h/(h+3λ)) / (1 + (l/R)²): 2 for a stuck sheet, 0 frictionless."""
    return (1 + h / (h + 3 * slip)) / (1 + (stretch_length(h, slip) / radius) ** 2)
