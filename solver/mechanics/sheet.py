"""The sheet on its form: what a form asks of a dough while it bakes.

    ε_bend = t/(2R+t)      bending the raw sheet to the radius R stretches its outer face
    ε_rise = r t/(R+t)     a sheet that rises moves its outer face outwards
    ε_flow = (h/2+λ)/(h/3+λ) · ln(1 + p e F)/p    the softened sheet creeps down from the crown

t = h thickness [m], r rise as a share of the thickness, F fluidity [1/Pa], λ slip length at the
seat [m], e strain by flow for each unit of F while it is small (`solver.mechanics.flow`), p how
fast a sheet that thins flows less. All three are strains of the outer face where it is stretched
most; flat forms neither bend nor strain by rising, and a leaning panel, pushed together on its
foot, does not stretch. Forms come in millimetres and degrees; all else is SI.

These are estimates from mechanics for changes within one recipe and one kitchen. What the dough
itself brings is `solver.mechanics.dough`, the chance of a crack `solver.mechanics.chance`, the
course of the strain along the form `solver.mechanics.profile`.
"""

import math
from typing import Any, NamedTuple, assert_never

import numpy as np

from models.form import AnyForm, Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from solver.mechanics.flow import (
    apex_strain,
    cone_foot_strain,
    crown_strain,
    outer_face,
    panel_growth,
    round_growth,
    thinning_power,
)

MM = 1e-3
"""Metres in a millimetre."""

REFERENCE_THICKNESS_MM = 5.0
REFERENCE_ROUND_MM = 60.0
_MOST_LN_FLOW = 500.0
"""Keeps what no dough does a number."""

FLAT_POWER = 5.0
"""p of a round or panel that spreads both ways; matches its growth to finite elements."""


class FormStrains(NamedTuple):
    """What a form asks at a thickness: ε_bend, ε_rise for each unit of rise, and what ε_flow is
    made of; floats or arrays."""

    bend: Any
    per_rise: Any
    per_fluidity: Any  # e [Pa]
    face: Any
    power: Any

    def flow(self, fluidity: Any) -> Any:
        """ε_flow at a fluidity [1/Pa]."""
        return self.face * np.log1p(self.power * self.per_fluidity * fluidity) / self.power


def form_strains(form: AnyForm, thickness_mm: Any, slip: Any) -> FormStrains:
    """Return what `form` asks of a sheet of `thickness_mm` with slip length `slip` [m]."""
    t = thickness_mm * MM
    face, per_fluidity = outer_face(t, slip), small_strain(form, t, slip)
    power = power_of(form, t, slip)
    if form.radius_mm is None:
        return FormStrains(0.0 * t, 0.0 * t, per_fluidity, face, power)
    radius = form.radius_mm * MM
    return FormStrains(bending_strain(t, radius), t / (radius + t), per_fluidity, face, power)


def bending_strain(t: Any, radius: float) -> Any:
    """ε_bend = t / (2R + t): bent round R, the outer face is longer than the middle by this."""
    return t / (2 * radius + t)


def small_strain(form: AnyForm, t: Any, slip: Any) -> Any:
    """Return e, the greatest average strain by flow for each unit of fluidity.

    Cylinder, dome: at the crown. Wave: the same, for on equal arcs nothing is pulled across the
    turning point, which so is a free edge. Cone: hoops at the upper edge, the foot held. Flat:
    growth as a share of the shortest measure.
    """
    match form:
        case Cylinder() | Wave():
            half_wrap = math.radians(form.half_wrap_degrees)
            return crown_strain(t, form.radius_mm * MM, half_wrap, 1.0, slip)
        case Dome():
            cap = math.radians(form.half_wrap_degrees)
            return apex_strain(t, form.radius_mm * MM, cap, 1.0, slip)
        case Cone():
            top, base = form.apex_to_top_mm * MM, form.apex_to_base_mm * MM
            slope = math.radians(form.slope_degrees)
            return cone_foot_strain(t, top, base - top, slope, 1.0, slip)
        case FlatRound():
            diameter = form.diameter_mm * MM
            return round_growth(t, diameter / 2, 1.0, slip) / diameter
        case FlatPanel():
            width = shorter_side_mm(form) * MM
            return panel_growth(t, width, 1.0, slip) / width
        case LeaningPanel():
            return np.zeros(np.broadcast(t, slip).shape)[()]
        case _:
            assert_never(form)


def power_of(form: AnyForm, t: Any, slip: Any) -> Any:
    """Return p: how fast flow slows as the sheet thins on `form`."""
    match form:
        case Cylinder() | Wave():
            return thinning_power(t, form.radius_mm * MM, slip)
        case Dome():
            return 2 * thinning_power(t, form.radius_mm * MM, slip)
        case Cone():
            return thinning_power(t, form.apex_to_top_mm * MM, slip)
        case FlatRound() | FlatPanel() | LeaningPanel():
            return FLAT_POWER + 0 * (t * slip)
        case _:
            assert_never(form)


def shorter_side_mm(form: FlatPanel | LeaningPanel) -> float:
    """Return the measure along which a panel's growth counts."""
    return min(form.width_mm, form.height_mm)


def fluidity(ln_growth: Any, thickness_mm: Any, slip: Any, power: Any) -> Any:
    """Return F [1/Pa] of a dough whose 60 mm round, 5 mm thick, grows by e^`ln_growth` mm.

    F = q (t / 5 mm)^n / U, with U the growth of that round for each unit of fluidity.
    """
    ln_flow = ln_growth + ln_fluidity_factor(thickness_mm, slip, power)
    return np.exp(np.minimum(ln_flow, _MOST_LN_FLOW))


def ln_fluidity_factor(thickness_mm: Any, slip: Any, power: Any) -> Any:
    """Return ln(F / q), q in mm."""
    grown = round_growth(REFERENCE_THICKNESS_MM * MM, REFERENCE_ROUND_MM / 2 * MM, 1.0, slip)
    return np.log(MM / grown) + power * np.log(thickness_mm / REFERENCE_THICKNESS_MM)


def flat_growth_mm(
    form: AnyForm, thickness_mm: Any, slip: Any, fluidity: Any, rise: Any, widening: Any
) -> Any:
    """Return how much a flat piece grows [mm]: the round or panel itself, else a 60 mm round.

    D [exp(ln(1 + 5 e F)/5) − 1 + χ r].
    """
    match form:
        case FlatRound():
            flat: FlatRound | FlatPanel = form
            across = form.diameter_mm
        case FlatPanel():
            flat, across = form, shorter_side_mm(form)
        case Cylinder() | Cone() | Dome() | Wave() | LeaningPanel():
            flat, across = _REFERENCE_ROUND, REFERENCE_ROUND_MM
        case _:
            assert_never(form)
    strained = small_strain(flat, thickness_mm * MM, slip) * fluidity
    return across * (np.expm1(np.log1p(FLAT_POWER * strained) / FLAT_POWER) + widening * rise)


_REFERENCE_ROUND = FlatRound(kind="flat_round", diameter_mm=REFERENCE_ROUND_MM)
