"""The course of thickness and strain along a form, for drawing: where a sheet thins and strains.

A curved sheet is followed from its crown to one edge and a flat one from its middle, the other half
being the same; a cone and a leaning panel from the upper edge to the foot. The strain is that of
the outer face, greatest where it equals the demand of `solver.mechanics.sheet`.
"""

import math
from typing import NamedTuple, assert_never

import numpy as np

from models.form import AnyForm, Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from solver.mechanics.flow import (
    DENSITY,
    GRAVITY,
    drift,
    panel_growth,
    rim_effect,
    rim_number,
    rim_strains,
    round_growth,
    stretch_length,
    thinned,
    thinning_power,
)
from solver.mechanics.sheet import MM, FormStrains, form_strains
from solver.mechanics.special import ive

POINTS = 61
"""Enough for a smooth line on a page."""


class Profile(NamedTuple):
    """Thickness and strain at points along a form; arrays of one length."""

    position_mm: np.ndarray  # along the form, from where the sheet is followed
    slope_degrees: np.ndarray  # of the form there, from the horizontal
    thickness_before_mm: np.ndarray
    thickness_after_mm: np.ndarray  # risen, and thinned by flow
    strain: np.ndarray


class _Course(NamedTuple):
    """Flow along a form [m, rad]: what stretches the face most, and what thins the sheet."""

    position: np.ndarray
    slope: np.ndarray
    stretching: np.ndarray
    thinning: np.ndarray


def profile(
    form: AnyForm, thickness_mm: float, fluidity: float, slip: float, rise: float
) -> Profile:
    """Return the profile of a sheet on `form`; fluidity [1/Pa], slip length [m], rise a share."""
    t = thickness_mm * MM
    course = _course(form, t, fluidity, slip)
    strains = form_strains(form, thickness_mm, slip)
    power = thinning_power(t, _span(form), slip)
    return Profile(
        position_mm=course.position / MM,
        slope_degrees=np.degrees(course.slope),
        thickness_before_mm=np.full(POINTS, thickness_mm),
        thickness_after_mm=(1 + rise) * thinned(thickness_mm, course.thinning, power),
        strain=strains.bend + strains.per_rise * rise + _finite(strains, course.stretching),
    )


def _finite(strains: FormStrains, stretching: np.ndarray) -> np.ndarray:
    """Return the strain of the outer face for small strains, as in `FormStrains.flow`.

    Where the sheet is pushed together it is pushed as far as it would be pulled.
    """
    pulled = strains.face / strains.power * np.log1p(strains.power * np.maximum(stretching, 0.0))
    return np.asarray(pulled + strains.face * np.minimum(stretching, 0.0))


def _course(form: AnyForm, t: float, fluidity: float, slip: float) -> _Course:
    match form:
        case Cylinder() | Wave():
            return _over_arc(form, t, fluidity, slip)
        case Dome():
            return _over_dome(form, t, fluidity, slip)
        case Cone():
            return _down_cone(form, t, fluidity, slip)
        case FlatRound():
            return _over_round(form.diameter_mm / 2 * MM, t, fluidity, slip)
        case FlatPanel():
            return _over_panel(min(form.width_mm, form.height_mm) * MM, t, fluidity, slip)
        case LeaningPanel():
            return _down_panel(form)
        case _:
            assert_never(form)


def _over_arc(form: Cylinder | Wave, t: float, fluidity: float, slip: float) -> _Course:
    """u' = (A/R) [cos φ − cos φe cosh(Rφ/l) / cosh(Rφe/l)]."""
    radius, edge = form.radius_mm * MM, math.radians(form.half_wrap_degrees)
    angle = np.linspace(0, edge, POINTS)
    reach = radius / stretch_length(t, slip)
    fading = np.exp(reach * (angle - edge)) + np.exp(-reach * (angle + edge))
    shape = np.cos(angle) - np.cos(edge) * fading / (1 + np.exp(-2 * reach * edge))
    strain = drift(t, radius, fluidity, slip) / radius * shape
    return _Course(radius * angle, angle, strain, strain)


def _over_dome(form: Dome, t: float, fluidity: float, slip: float) -> _Course:
    """Along (A/R) [cos φ − X v'],  round about (A/R) [cos φ − X v cot φ]."""
    radius, edge = form.radius_mm * MM, math.radians(form.half_wrap_degrees)
    angle = np.linspace(0, edge, POINTS)
    free = rim_effect(t, radius, edge, slip)
    along, hoop = rim_strains(rim_number(t, radius, edge, slip), angle)
    scale = drift(t, radius, fluidity, slip, stretching=6.0) / radius
    along, hoop = (scale * (np.cos(angle) - free * part) for part in (along, hoop))
    return _Course(radius * angle, angle, np.maximum(along, hoop), along + hoop)


def _down_cone(form: Cone, t: float, fluidity: float, slip: float) -> _Course:
    from_apex = np.linspace(form.apex_to_top_mm, form.apex_to_base_mm, POINTS) * MM
    slope = math.radians(form.slope_degrees)
    top, foot = from_apex[0], from_apex[-1]
    kappa = np.sqrt(1 / stretch_length(t, slip) ** 2 + 1 / top**2)
    pull = DENSITY * GRAVITY * math.sin(slope) * fluidity / (4 * kappa**2)
    # cosh κ(s − T) / cosh κL without overflow: the foot holds, the upper edge is free
    held = np.exp(kappa * (from_apex - foot)) + np.exp(kappa * (2 * top - foot - from_apex))
    strain = pull * (1 - held / (1 + np.exp(-2 * kappa * (foot - top)))) / from_apex
    return _Course(from_apex - from_apex[0], np.full(POINTS, slope), strain, strain)


def _down_panel(form: LeaningPanel) -> _Course:
    still = np.zeros(POINTS)
    slope = np.full(POINTS, math.radians(form.slope_degrees))
    return _Course(np.linspace(0, form.height_mm * MM, POINTS), slope, still, still)


def _over_round(radius: float, t: float, fluidity: float, slip: float) -> _Course:
    """u/r round about and u' outwards, with u ∝ I1(r/l)."""
    r = np.linspace(0, radius, POINTS)
    x = np.maximum(r / stretch_length(t, slip), 1e-6)
    fading = np.exp(x - x[-1])
    i0, i1_over_x = fading * ive(0, x), fading * ive(1, x) / x
    scale = round_growth(t, radius, fluidity, slip) / (2 * radius) / i1_over_x[-1]
    return _Course(r, 0 * r, scale * i1_over_x, scale * i0)  # u/r + u' ∝ I0


def _over_panel(width: float, t: float, fluidity: float, slip: float) -> _Course:
    """u/x across the shorter side and u', with u ∝ sinh(x/l)."""
    x = np.linspace(0, width / 2, POINTS)
    reach = np.maximum(x / stretch_length(t, slip), 1e-6)
    fading = np.exp(reach - reach[-1])
    outwards = -fading * np.expm1(-2 * reach) / reach  # 2 e^-reach_edge sinh(reach) / reach
    scale = panel_growth(t, width, fluidity, slip) / width / outwards[-1]
    return _Course(x, 0 * x, scale * outwards, scale * fading * (1 + np.exp(-2 * reach)))


def _span(form: AnyForm) -> float:
    """Return the length over which the seat resists [m]: the radius, or half of a flat piece."""
    match form:
        case Cone():
            return form.apex_to_top_mm * MM
        case FlatRound():
            return form.diameter_mm / 2 * MM
        case FlatPanel() | LeaningPanel():
            return min(form.width_mm, form.height_mm) / 2 * MM
        case Cylinder() | Dome() | Wave():
            return form.radius_mm * MM
        case _:
            assert_never(form)
