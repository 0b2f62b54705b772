"""Templates: an outline that closes, is as large as it says, and weighs what its dough weighs."""

import json
import math

import pytest

from models.form_cautions import form_cautions
from models.target import Target
from models.template import pieces_grams, template
from tests.outline_tracing import area_of, traced

FORMS = {
    "flat_round": {"diameter_mm": 63.5},
    "flat_panel": {"width_mm": 90, "height_mm": 140},
    "cylinder": {"diameter_mm": 80, "wrap_degrees": 150},
    "cone": {
        "base_diameter_mm": 90,
        "top_diameter_mm": 30,
        "height_mm": 120,
        "wrap_degrees": 180,
    },
    "dome": {"diameter_mm": 120, "cap_degrees": 70},
    "wave": {"crest_radius_mm": 15, "slope_degrees": 40},
    "leaning_panel": {"width_mm": 90, "height_mm": 140, "lean_degrees": 20},
}
WIDE_CONES = [
    {"base_diameter_mm": 180, "top_diameter_mm": 60, "height_mm": 40, "wrap_degrees": 330},
    {"base_diameter_mm": 180, "top_diameter_mm": 60, "height_mm": 40, "wrap_degrees": 219.5},
    {"base_diameter_mm": 400, "top_diameter_mm": 10, "height_mm": 20, "wrap_degrees": 200},
]
EVERY = [
    *({"kind": kind, **members} for kind, members in FORMS.items()),
    *({"kind": "cone", **members} for members in WIDE_CONES),
]


def target_of(form, thickness=4):
    return Target.model_validate_json(json.dumps({"form": form, "thickness_mm": thickness}))


def piece(kind, thickness=4, **changes):
    return template(target_of({"kind": kind, **FORMS[kind], **changes}, thickness))


def sizes(of):
    return {size.name: size.value for size in of.sizes}


@pytest.mark.parametrize("form", EVERY)
def test_an_outline_closes_and_its_area_is_the_area_said(form):
    """Followed round point by point, the edge ends where it began and encloses the area."""
    drawn = template(target_of(form))
    points = traced(drawn.outline)
    assert math.dist(points[0], points[-1]) < 1e-9
    assert area_of(points) == pytest.approx(drawn.area_mm2, rel=1e-6)


@pytest.mark.parametrize("form", EVERY)
def test_an_outline_fills_its_rectangle(form):
    """The piece touches all four sides of the width and height said, and no more."""
    drawn = template(target_of(form))
    xs, ys = zip(*traced(drawn.outline), strict=True)
    assert (min(xs), min(ys)) == pytest.approx((0, 0), abs=1e-4)
    assert (max(xs), max(ys)) == pytest.approx((drawn.width_mm, drawn.height_mm), abs=1e-4)


@pytest.mark.parametrize("form", EVERY)
def test_guides_lie_on_the_piece(form):
    """Every line to mark runs within the rectangle round the piece, from edge to edge."""
    drawn = template(target_of(form))
    for guide in drawn.guides:
        for end in (guide.start, guide.end):
            assert -1e-9 <= end.x_mm <= drawn.width_mm + 1e-9
            assert -1e-9 <= end.y_mm <= drawn.height_mm + 1e-9


@pytest.mark.parametrize("kind", ["flat_round", "flat_panel", "leaning_panel"])
def test_flat_pieces_are_themselves(kind):
    """What is not bent is cut as it is stated, however thick."""
    assert piece(kind, 3).outline == piece(kind, 8).outline
    assert piece(kind).width_mm == FORMS[kind].get("diameter_mm", FORMS[kind].get("width_mm"))


def test_only_a_dome_stretches():
    """Every form but the dome is covered without stretching by the very area that is cut."""
    for form in EVERY:
        drawn = template(target_of(form))
        if form["kind"] == "dome":
            assert drawn.stretch_percent < 0
            assert drawn.covers_mm2 < drawn.area_mm2
        else:
            assert drawn.stretch_percent == 0
            assert drawn.covers_mm2 == drawn.area_mm2


def test_a_thicker_sheet_reaches_farther_round():
    """Each millimetre of thickness adds half a millimetre times the angle of the wrap."""
    longer = piece("cylinder", 6).width_mm - piece("cylinder", 5).width_mm
    assert longer == pytest.approx(math.radians(150) / 2)


def test_a_wave_is_as_long_at_any_thickness():
    """What crests take more, troughs take less; over a crest and through a trough they differ."""
    thin, thick = piece("wave", 2), piece("wave", 8)
    assert thick.width_mm == pytest.approx(thin.width_mm)
    assert sizes(thick)["over a crest"] > sizes(thin)["over a crest"]
    assert sizes(thick)["through a trough"] < sizes(thin)["through a trough"]


def test_a_wave_marks_each_crest():
    """Five crests are five lines, evenly apart, half a wave from either end."""
    drawn = piece("wave", crests=5)
    places = [guide.start.x_mm for guide in drawn.guides]
    assert places == pytest.approx([drawn.width_mm * (i + 0.5) / 5 for i in range(5)])


def test_the_steepest_cone_is_nearly_a_cylinder():
    """Narrowing by the least that it may, it is cut within a hundredth of the cylinder's panel."""
    steep = piece("cone", base_diameter_mm=80, top_diameter_mm=79, height_mm=100)
    round_it = (39.75 + 2) * math.radians(180)
    assert steep.area_mm2 == pytest.approx(round_it * 100, rel=1e-3)
    assert steep.height_mm == pytest.approx(100, rel=1e-2)


def test_more_than_half_way_round_is_said_to_hang():
    """Edges that hang under the form want props; at half way round they do not."""
    assert any("prop" in note for note in piece("cylinder", wrap_degrees=200).notes)
    assert not any("prop" in note for note in piece("cylinder", wrap_degrees=180).notes)


def test_dough_is_volume_times_density():
    """A panel of 90 by 140 by 4 mm is 50.4 cm³, and at 1.26 g/cm³ 63.504 g."""
    assert piece("flat_panel").volume_cm3 == pytest.approx(50.4)
    assert piece("flat_panel").dough_grams_per_piece == pytest.approx(63.504)


def test_trimmings_come_on_top():
    """Ten panels at 15 % take ten times 63.504 g and 15 % more; at none, no more."""
    panel = target_of({"kind": "flat_panel", **FORMS["flat_panel"]})
    assert pieces_grams(panel, 10) == pytest.approx(635.04 * 1.15)
    assert pieces_grams(panel, 10, 0.0) == pytest.approx(635.04)
    assert pieces_grams(panel, 10, 0.0, 1.0) == pytest.approx(504)


@pytest.mark.parametrize(
    ("form", "codes"),
    [
        ({"kind": "flat_panel", **FORMS["flat_panel"]}, ["printed_paper"]),
        ({"kind": "flat_round", "diameter_mm": 30}, ["small_part", "printed_paper"]),
        ({"kind": "flat_round", "diameter_mm": 32}, ["printed_paper"]),
        ({"kind": "dome", **FORMS["dome"]}, ["hot_form", "supports", "printed_paper"]),
        (
            {"kind": "leaning_panel", **FORMS["leaning_panel"]},
            ["hot_form", "supports", "printed_paper"],
        ),
    ],
)
def test_cautions_follow_the_form(form, codes):
    """Hot forms and props where there are any; choking where a piece fits 31.7 by 57.1 mm."""
    target = target_of(form)
    cautions = form_cautions(target, template(target))
    assert [caution.code for caution in cautions] == codes
    assert all(caution.text and caution.source for caution in cautions)
