"""Templates against plane and solid geometry, done here by other roads than the templates take.

Lengths are walked along the bent sheet itself, point by point; areas and volumes come from Pappus's
centroid theorems (the sheet is a section swept round an axis) and from Archimedes' theorem on the
sphere (a cap has the area of the cylinder round it of the same height).
"""

import json
import math

import pytest

from models.target import Target
from models.template import template
from tests.outline_tracing import length_of, traced

STEPS = 20_000
CYLINDERS = [(80, 150, 4), (69.85, 170, 3.175), (20, 240, 8)]


def cut(form, thickness):
    return template(
        Target.model_validate_json(json.dumps({"form": form, "thickness_mm": thickness}))
    )


def sizes(piece):
    return {size.name: size.value for size in piece.sizes}


def walked(place):
    """Return the length of the line that `place` draws from 0 to 1."""
    return length_of([place(i / STEPS) for i in range(STEPS + 1)])


@pytest.mark.parametrize(("diameter", "wrap", "t"), CYLINDERS)
def test_a_cylinder_takes_the_arc_through_the_middle_of_the_sheet(diameter, wrap, t):
    """The cut is as long as a line walked at mid-thickness from edge to edge."""
    radius, turn = diameter / 2 + t / 2, math.radians(wrap)
    middle = walked(lambda s: (radius * math.sin(turn * s), radius * math.cos(turn * s)))
    piece = cut({"kind": "cylinder", "diameter_mm": diameter, "wrap_degrees": wrap}, t)
    assert piece.width_mm == pytest.approx(middle, rel=1e-8)


@pytest.mark.parametrize(("diameter", "wrap", "t"), CYLINDERS)
def test_a_cylinder_takes_the_dough_that_lies_on_it(diameter, wrap, t):
    """The flat piece holds just the dough of the bent one: that part of a ring, R to R + t."""
    inner, outer = diameter / 2, diameter / 2 + t
    bent = math.pi * (outer**2 - inner**2) * wrap / 360 * 70 / 1000
    form = {"kind": "cylinder", "diameter_mm": diameter, "wrap_degrees": wrap, "length_mm": 70}
    assert cut(form, t).volume_cm3 == pytest.approx(bent, rel=1e-12)


CONES = [
    (100, 40, 90, 180, 4),
    (180, 60, 40, 330, 6),
    (60, 50, 200, 90, 2.5),
    (900, 30, 25, 300, 3),
]


def cone(base, top, height, wrap):
    return {
        "kind": "cone",
        "base_diameter_mm": base,
        "top_diameter_mm": top,
        "height_mm": height,
        "wrap_degrees": wrap,
    }


def middle_radii(base, top, height, t):
    """Return the radii at mid-thickness: half the thickness out, square to the side."""
    side = math.hypot(height, (base - top) / 2)
    out = t / 2 * height / side
    return base / 2 + out, top / 2 + out, side


@pytest.mark.parametrize(("base", "top", "height", "wrap", "t"), CONES)
def test_a_cone_takes_the_lateral_area_of_a_frustum(base, top, height, wrap, t):
    """π (r1 + r2) side, the lateral area of a frustum, of which the wrap takes its share."""
    r1, r2, side = middle_radii(base, top, height, t)
    lateral = math.pi * (r1 + r2) * side * wrap / 360
    assert cut(cone(base, top, height, wrap), t).area_mm2 == pytest.approx(lateral, rel=1e-12)


@pytest.mark.parametrize(("base", "top", "height", "wrap", "t"), CONES)
def test_a_cone_takes_the_dough_that_lies_on_it(base, top, height, wrap, t):
    """Pappus: the volume of a section swept round an axis is its area times its centre's path."""
    r1, r2, side = middle_radii(base, top, height, t)
    swept = side * t * math.radians(wrap) * (r1 + r2) / 2 / 1000
    assert cut(cone(base, top, height, wrap), t).volume_cm3 == pytest.approx(swept, rel=1e-12)


@pytest.mark.parametrize(("base", "top", "height", "wrap", "t"), CONES)
def test_the_edges_of_a_cone_meet_the_form(base, top, height, wrap, t):
    """Measured along the outline, both arcs are as long as the circles they come to lie on."""
    r1, r2, side = middle_radii(base, top, height, t)
    piece = cut(cone(base, top, height, wrap), t)
    upper, right, lower, left = _edges(piece.outline)
    turn = math.radians(wrap)
    assert upper == pytest.approx(turn * r2, rel=1e-6)
    assert lower == pytest.approx(turn * r1, rel=1e-6)
    assert (left, right) == pytest.approx((side, side), rel=1e-9)
    said = sizes(piece)
    assert said["upper edge"] == pytest.approx(upper, rel=1e-6)
    assert said["lower edge"] == pytest.approx(lower, rel=1e-6)
    assert math.radians(said["angle"]) * said["outer radius"] == pytest.approx(lower, rel=1e-6)


def _edges(outline):
    """Return the lengths of the cuts, each traced on its own."""
    here, lengths = outline.start, []
    for one in outline.cuts:
        lengths.append(
            length_of(traced(outline.model_copy(update={"start": here, "cuts": (one,)})))
        )
        here = one.to
    return lengths


@pytest.mark.parametrize(("radius", "slope", "t", "crests"), [(15, 40, 4, 3), (8, 80, 7.5, 1)])
def test_a_wave_takes_the_line_through_the_middle_of_the_sheet(radius, slope, t, crests):
    """Walked at half the thickness off the form, square to it, over every crest and trough."""
    turn = math.radians(slope)

    def crest(s):
        angle = turn * (2 * s - 1)
        form = (radius * math.sin(angle), radius * math.cos(angle))
        return _moved(form, (math.sin(angle), math.cos(angle)), t / 2)

    def trough(s):
        angle = turn * (2 * s - 1)
        form = (radius * math.sin(angle), -radius * math.cos(angle))  # its centre is above it
        return _moved(form, (-math.sin(angle), math.cos(angle)), t / 2)

    form = {"kind": "wave", "crest_radius_mm": radius, "slope_degrees": slope, "crests": crests}
    piece = cut(form, t)
    assert sizes(piece)["over a crest"] == pytest.approx(walked(crest), rel=1e-7)
    assert sizes(piece)["through a trough"] == pytest.approx(walked(trough), rel=1e-7)
    assert piece.width_mm == pytest.approx(crests * (walked(crest) + walked(trough)), rel=1e-7)


def _moved(place, way, distance):
    return place[0] + distance * way[0], place[1] + distance * way[1]


@pytest.mark.parametrize(("diameter", "cap", "t"), [(120, 70, 4), (90, 90, 5), (60, 120, 3)])
def test_a_dome_covers_the_area_of_a_spherical_cap(diameter, cap, t):
    """Archimedes: a cap's area is the sphere's great circle times the cap's height, 2πRh."""
    radius = diameter / 2 + t / 2
    height = radius - radius * math.cos(math.radians(cap))
    piece = cut({"kind": "dome", "diameter_mm": diameter, "cap_degrees": cap}, t)
    assert piece.covers_mm2 == pytest.approx(2 * math.pi * radius * height, rel=1e-12)


@pytest.mark.parametrize(("diameter", "cap", "t"), [(120, 70, 4), (90, 90, 5), (60, 120, 3)])
def test_a_dome_is_cut_as_wide_as_its_arc_and_gathers_at_the_rim(diameter, cap, t):
    """Its radius is a meridian walked from the top; its edge is longer than the rim it comes to."""
    radius, turn = diameter / 2 + t / 2, math.radians(cap)
    meridian = walked(lambda s: (radius * math.sin(turn * s), radius * math.cos(turn * s)))
    piece = cut({"kind": "dome", "diameter_mm": diameter, "cap_degrees": cap}, t)
    assert piece.width_mm == pytest.approx(2 * meridian, rel=1e-8)
    edge, rim = length_of(traced(piece.outline)), 2 * math.pi * radius * math.sin(turn)
    assert piece.stretch_percent == pytest.approx(100 * (rim / edge - 1), abs=1e-4)


def test_half_a_sphere_gathers_by_more_than_a_third():
    """At 90° the rim is 2/π of the edge: 36.3 % too long, as any half orange peel shows."""
    piece = cut({"kind": "dome", "diameter_mm": 100, "cap_degrees": 90}, 4)
    assert piece.stretch_percent == pytest.approx(100 * (2 / math.pi - 1))


def test_a_shallow_dome_is_almost_flat():
    """At 10° a round lies on the cap with half a per cent to gather."""
    piece = cut({"kind": "dome", "diameter_mm": 400, "cap_degrees": 10}, 4)
    assert -0.6 < piece.stretch_percent < -0.4
