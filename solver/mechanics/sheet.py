"""The sheet on its form: what a form asks of a dough while it bakes.

    D = ε_wrapping + ε_rise + ε_flow
    ε_wrapping = t/(2R+t)     bending the raw sheet to the radius R stretches its outer face
    ε_rise     = k_r r,  k_r = t/(R+t)     a sheet that rises moves its outer face outwards
    ε_flow     = K F     the softened sheet creeps down, away from the crown

Flow is `solver.mechanics.flow`.

t thickness [m], r rise as a share of the thickness, F fluidity [1/Pa]. All three are strains of the
outer face where it is stretched most. Forms come in millimetres and degrees; all else is SI.

These are estimates from mechanics for changes within one recipe and one kitchen. What the dough
itself brings (F, r and the strain it bears) is `solver.mechanics.dough`, the chance of a crack
`solver.mechanics.chance`, the course of the strain along the form `solver.mechanics.profile`.
"""

import math
from typing import Any, NamedTuple

import numpy as np

from models.chance import Demand
from models.form import AnyForm, Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from solver.mechanics.flow import (
    DENSITY,
    GRAVITY,
    apex_strain,
    cone_strain,
    crown_strain,
    outer_face,
    panel_growth,
    round_growth,
    stretch_length,
)

MM = 1e-3
"""Metres in a millimetre."""


class Load(NamedTuple):
    """What a form asks at a thickness: wrapping, k_r and K of the demand; floats or arrays."""

    wrapping: Any
    per_rise: Any
    per_fluidity: Any

    def total(self, fluidity: Any, rise: Any) -> Any:
        """D = ε_wrapping + k_r r + K F."""
        return self.wrapping + self.per_rise * rise + self.per_fluidity * fluidity

    def demand(self, fluidity: float, rise: float) -> Demand:
        """Return the demand in its three parts."""
        return Demand(
            wrapping=float(self.wrapping),
            rise=float(self.per_rise * rise),
            flow=float(self.per_fluidity * fluidity),
            total=float(self.total(fluidity, rise)),
        )


def load_of(form: AnyForm, thickness_mm: Any, slip: Any) -> Load:
    """Return what `form` asks of a sheet of `thickness_mm` with slip length `slip` [m]."""
    t = thickness_mm * MM
    flow = outer_face(t, slip) * flow_strain(form, t, slip)
    if form.radius_mm is None:
        return Load(0.0 * t, 0.0 * t, flow)
    radius = form.radius_mm * MM
    return Load(wrapping_strain(t, radius), t / (radius + t), flow)


def wrapping_strain(t: Any, radius: float) -> Any:
    """ε_bend = t / (2R + t): bent round R, the outer face is longer than the middle by this."""
    return t / (2 * radius + t)


def flow_strain(form: AnyForm, t: Any, slip: Any) -> Any:
    """Return the greatest average strain by flow, for each unit of fluidity, of a sheet on `form`.

    Cylinder, dome: at the crown. Wave: the same, for on equal arcs nothing is pulled across the
    turning point, which so is a free edge. Cone (unchecked): hoops at the upper edge, or lower down
    where it slips freely. Flat: growth as a share of the shortest measure (a panel's unchecked). A
    leaning panel rests on its foot and is pushed together, not stretched: nothing (unchecked).
    """
    match form:
        case Cylinder() | Wave():
            half_wrap = math.radians(form.half_wrap_degrees)
            return crown_strain(t, form.radius_mm * MM, half_wrap, 1.0, slip)
        case Dome():
            cap = math.radians(form.half_wrap_degrees)
            return apex_strain(t, form.radius_mm * MM, cap, 1.0, slip)
        case Cone():
            slope = math.radians(form.slope_degrees)
            ends = form.apex_to_top_mm * MM, form.apex_to_base_mm * MM
            where = np.clip(stretch_length(t, slip), *ends)
            return cone_strain(t, where, slope, 1.0, slip)
        case FlatRound():
            diameter = form.diameter_mm * MM
            return round_growth(t, diameter / 2, 1.0, slip) / diameter
        case FlatPanel():
            width = min(form.width_mm, form.height_mm) * MM
            return panel_growth(t, width, 1.0, slip) / width
    return np.zeros(np.broadcast(t, slip).shape)[()]  # a leaning panel


def slip_stress(form: AnyForm, thickness_mm: float) -> float:
    """Return the mean shear at the seat that drives the whole piece to slide [Pa].

    τ = ρ g t |cos φ1 − cos φ2| / (φ2 − φ1), over a sheet from slope φ1 to φ2: nil for a drape
    centred on its form, ρ g t sin φ on one even slope. How much a seat holds nobody has measured,
    so this only tells which piece is likelier to slide.
    """
    weight = DENSITY * GRAVITY * thickness_mm * MM
    match form:
        case Cylinder() | Wave() | Dome():
            edge = math.radians(form.half_wrap_degrees)
            return mean_slip_stress(weight, -edge, edge)
        case Cone() | LeaningPanel():
            slope = math.radians(form.slope_degrees)
            return mean_slip_stress(weight, slope, slope)
    return 0.0


def mean_slip_stress(weight: float, slope: float, other_slope: float) -> float:
    """Return `weight` [Pa] × |cos φ1 − cos φ2| / (φ2 − φ1), or its limit where both are one."""
    if other_slope == slope:
        return weight * abs(math.sin(slope))
    return weight * abs((math.cos(slope) - math.cos(other_slope)) / (other_slope - slope))
