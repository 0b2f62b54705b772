"""Forms and targets as requests state them: lengths in words, ranges, and what is refused."""

import json
import math

import pytest
from pydantic import TypeAdapter, ValidationError

from models.errors import BadInput
from models.form import FORMS, KINDS, Form
from models.target import Target

EVERY_FORM = {
    "flat_round": {"diameter_mm": 60},
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


def target(form, thickness=4):
    return Target.model_validate_json(json.dumps({"form": form, "thickness_mm": thickness}))


def faults(form, thickness=4):
    """Return the faults of a target by pointer."""
    with pytest.raises(ValidationError) as refused:
        target(form, thickness)
    return {fault.pointer: fault.message for fault in BadInput.of(refused.value).faults}


def cylinder(**changes):
    return {"kind": "cylinder", **EVERY_FORM["cylinder"], **changes}


def cone(**changes):
    return {"kind": "cone", **EVERY_FORM["cone"], **changes}


def test_every_kind_is_here():
    """The forms of these tests are all the forms there are."""
    assert tuple(EVERY_FORM) == KINDS


@pytest.mark.parametrize("kind", KINDS)
def test_a_form_is_what_its_kind_says(kind):
    """A form is made by its kind, and comes back from its own JSON unchanged."""
    read = target({"kind": kind, **EVERY_FORM[kind]})
    assert type(read.form) is FORMS[KINDS.index(kind)]
    assert Target.model_validate_json(read.model_dump_json()) == read
    assert Target(form=read.form, thickness_mm=4.0) == read


@pytest.mark.parametrize(
    ("written", "millimetres"),
    [
        (80, 80),
        (69.85, 69.85),
        ("80 mm", 80),
        ("80mm", 80),
        ("8 cm", 80),
        ("7,5 cm", 75),
        ("2 3/4 in", 69.85),
        ("2¾ in.", 69.85),
        ("2.75 inches", 69.85),
        ("2.125 in", 53.975),
        ('1 1/2"', 38.1),
        ("one and a half inches", 38.1),
    ],
)
def test_lengths_in_words(written, millimetres):
    """A length is millimetres as a number, or words with a unit as a ruler reads."""
    assert target(cylinder(diameter_mm=written)).form.diameter_mm == pytest.approx(
        millimetres, rel=1e-12
    )


def test_three_sixteenths_of_an_inch():
    """A thickness may be told in sixteenths of an inch, exactly."""
    assert target(cylinder(), "3/16 in").thickness_mm == 4.7625


@pytest.mark.parametrize(
    "written",
    ["80", "in", "", "-3 mm", "2 to 3 in", "1,250 mm", "4 miles", "4 in 2", "8 " * 90],
)
def test_what_is_no_length(written):
    """Words that are not one length with its unit are refused with examples of what is."""
    message = faults(cylinder(diameter_mm=written))["/form/diameter_mm"]
    assert '"3/16 in"' in message


def test_a_broken_fraction():
    """A fraction that is none is refused, and the fraction is quoted."""
    assert '"3/0"' in faults(cylinder(diameter_mm="3/0 in"))["/form/diameter_mm"]


@pytest.mark.parametrize("written", [True, None, [80], {"mm": 80}])
def test_what_is_no_number(written):
    """What is neither a number nor words is no length."""
    assert faults(cylinder(diameter_mm=written))["/form/diameter_mm"] == "must be a number"


@pytest.mark.parametrize(
    ("form", "pointer", "allowed"),
    [
        (cylinder(wrap_degrees=241), "/form/wrap_degrees", "between 10 and 240 degrees"),
        (cylinder(wrap_degrees=-5), "/form/wrap_degrees", "between 10 and 240 degrees"),
        (cylinder(diameter_mm=0), "/form/diameter_mm", "between 20 and 1000 mm"),
        (cylinder(diameter_mm=-80), "/form/diameter_mm", "between 20 and 1000 mm"),
        (cylinder(length_mm=1e5), "/form/length_mm", "between 20 and 1000 mm"),
        (cone(wrap_degrees=360), "/form/wrap_degrees", "between 10 and 330 degrees"),
        (cone(top_diameter_mm=0), "/form/top_diameter_mm", "between 10 and 990 mm"),
        (cone(top_diameter_mm=90), "/form/top_diameter_mm", "between 10 and 89 mm"),
        (cone(top_diameter_mm=89.5), "/form/top_diameter_mm", "straight sides are a cylinder"),
        (
            {"kind": "wave", "crest_radius_mm": 500, "slope_degrees": 80, "crests": 2},
            "/form/crests",
            "between 1 and 1 at this crest radius and slope: each wave takes 2793 mm",
        ),
        (
            {"kind": "dome", "diameter_mm": 80, "cap_degrees": 180},
            "/form/cap_degrees",
            "between 10 and 120 degrees",
        ),
        (
            {"kind": "wave", "crest_radius_mm": 15, "slope_degrees": 90},
            "/form/slope_degrees",
            "between 5 and 80 degrees",
        ),
        (
            {"kind": "leaning_panel", "width_mm": 90, "height_mm": 140, "lean_degrees": 90},
            "/form/lean_degrees",
            "between 5 and 85 degrees",
        ),
    ],
)
def test_what_no_form_can_be(form, pointer, allowed):
    """A dimension beyond reason is refused where it stands, with the range that is allowed."""
    refused = faults(form)
    assert list(refused) == [pointer]
    assert allowed in refused[pointer]


@pytest.mark.parametrize("thickness", [0, -4, 0.9, 20.1, "2 in"])
def test_what_no_sheet_can_be(thickness):
    """A sheet is between 1.5 and 8 mm thick."""
    message = faults({"kind": "flat_round", "diameter_mm": 60}, thickness)["/thickness_mm"]
    assert message.startswith("must be between 1.5 and 8 mm")


@pytest.mark.parametrize(
    ("form", "most"),
    [
        ({"kind": "wave", "crest_radius_mm": "1/4 in", "slope_degrees": 30}, "6.35 mm"),
        (cone(top_diameter_mm=12), "6.309 mm"),
    ],
)
def test_a_sheet_thicker_than_its_radius(form, most):
    """A sheet thicker than the radius it is bent to is refused, and the most allowed is named."""
    message = faults(form, 7)["/thickness_mm"]
    assert f"between 1.5 and {most}" in message


def test_all_faults_at_once():
    """The faults of a form and of its thickness are told together."""
    found = faults({"kind": "cylinder", "diameter_mm": 5, "wrap_degrees": 999, "lid": 1}, "thin")
    assert set(found) == {
        "/form/diameter_mm",
        "/form/wrap_degrees",
        "/form/lid",
        "/thickness_mm",
    }


@pytest.mark.parametrize("kind", ["ring", 3, None, ["cone"], ""])
def test_an_unknown_kind(kind):
    """A kind that is none is refused at /form/kind, and the kinds there are are named."""
    message = faults({"kind": kind, "diameter_mm": 60})["/form/kind"]
    assert all(known in message for known in KINDS)


def test_no_kind():
    """A form without a kind is told that it is missing."""
    assert faults({"diameter_mm": 60})["/form/kind"].startswith("is missing")


@pytest.mark.parametrize("form", [3, "cylinder", None, []])
def test_no_form(form):
    """What is no JSON object is no form."""
    assert faults(form)["/form"].startswith("must be a JSON object")


def test_a_cone_is_plane_geometry():
    """A cone's slope, its distances from the apex and its tightest bend follow from its sizes."""
    form = target(cone(base_diameter_mm=90, top_diameter_mm=30, height_mm=40)).form
    assert form.slope_degrees == pytest.approx(math.degrees(math.atan(40 / 30)))
    assert form.apex_to_base_mm - form.apex_to_top_mm == pytest.approx(math.hypot(30, 40))
    assert form.apex_to_top_mm / form.apex_to_base_mm == pytest.approx(30 / 90)
    assert form.radius_mm == pytest.approx(15 / 0.8)


def test_the_schema_gives_the_ranges():
    """The published schema says that a length may be words, and how long it may be."""
    schema = TypeAdapter(Form).json_schema()
    diameter = schema["$defs"]["Cylinder"]["properties"]["diameter_mm"]
    assert {kind["type"] for kind in diameter["anyOf"]} == {"number", "string"}
    assert (diameter["minimum"], diameter["maximum"]) == (20, 1000)
