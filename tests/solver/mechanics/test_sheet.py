"""What forms ask of a dough, and how strain and thickness run along them."""

import json

import numpy as np
import pytest
from pydantic import TypeAdapter

from models.form import Form
from solver.mechanics.flow import panel_growth, round_growth
from solver.mechanics.profile import profile
from solver.mechanics.sheet import form_strains

FORMS = {
    "flat round": {"kind": "flat_round", "diameter_mm": 60},
    "flat panel": {"kind": "flat_panel", "width_mm": 90, "height_mm": 140},
    "cylinder": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
    "far round": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 240},
    "cone": {
        "kind": "cone",
        "base_diameter_mm": 90,
        "top_diameter_mm": 30,
        "height_mm": 120,
        "wrap_degrees": 180,
    },
    "dome": {"kind": "dome", "diameter_mm": 120, "cap_degrees": 70},
    "deep dome": {"kind": "dome", "diameter_mm": 40, "cap_degrees": 120},
    "wave": {"kind": "wave", "crest_radius_mm": 15, "slope_degrees": 40},
    "leaning panel": {
        "kind": "leaning_panel",
        "width_mm": 90,
        "height_mm": 140,
        "lean_degrees": 30,
    },
}
FLUIDITY, RISE = 0.02, 0.37
SLIPS = [0.0, 1e-3, 1e-2, 1.0]


def form(name, **changes):
    return TypeAdapter(Form).validate_json(json.dumps(FORMS[name] | changes))


def asked(strains):
    return strains.bend + strains.per_rise * RISE + strains.flow(FLUIDITY)


def total(name, thickness_mm=5.0, slip=1e-3, **changes):
    return asked(form_strains(form(name, **changes), thickness_mm, slip))


def test_bending_and_rise():
    """Bending 5 mm round a radius of 40 mm stretches the face by 5/85; rising by r x 5/45."""
    strains = form_strains(form("cylinder"), 5.0, 1e-3)
    assert strains.bend == pytest.approx(5 / 85)
    assert strains.per_rise == pytest.approx(5 / 45)


@pytest.mark.parametrize("name", ["flat round", "flat panel", "leaning panel"])
def test_flat_forms_bend_nothing(name):
    """A flat form asks neither for bending nor for rise."""
    strains = form_strains(form(name), 5.0, 1e-3)
    assert (strains.bend, strains.per_rise) == (0, 0)


def test_a_leaning_panel_is_not_stretched():
    """A panel that rests on its foot is asked for nothing; that it may sag is not in the model."""
    assert total("leaning panel") == 0


@pytest.mark.parametrize("name", FORMS)
@pytest.mark.parametrize("slip", SLIPS)
def test_the_profile_tops_at_the_demand(name, slip):
    """Strain along a form comes to its demand and no higher: at the crown or upper edge of a
    curve.
    """
    along = profile(form(name), 5.0, FLUIDITY, slip, RISE)
    demand = total(name, 5.0, slip)
    assert along.strain.max() == pytest.approx(demand, rel=1e-9)
    if name not in {"flat round", "flat panel"}:
        assert along.strain[0] == along.strain.max()


@pytest.mark.parametrize("name", [n for n in FORMS if n != "leaning panel"])
def test_a_sheet_thins_where_it_strains(name):
    """After baking a sheet is thinnest where flow drew it out most, and nowhere nothing."""
    along = profile(form(name), 5.0, FLUIDITY, 1e-3, RISE)
    assert np.all(along.thickness_before_mm == 5)
    assert np.all(along.thickness_after_mm > 0)
    assert along.thickness_after_mm.argmin() == along.strain.argmax()
    assert along.thickness_after_mm.min() < 5 * (1 + RISE)


def test_without_flow_a_sheet_only_rises():
    """A dough that does not flow is left (1 + r) times as thick all over."""
    along = profile(form("cylinder"), 5.0, 0.0, 1e-3, RISE)
    assert along.thickness_after_mm == pytest.approx(np.full(along.strain.shape, 5 * 1.37))


def test_the_profile_follows_the_form():
    """A cylinder is followed from the crown to the edge of the wrap, a panel down its height."""
    arc = profile(form("cylinder"), 5.0, FLUIDITY, 1e-3, RISE)
    assert (arc.slope_degrees[0], arc.slope_degrees[-1]) == (0, pytest.approx(75))
    assert arc.position_mm[-1] == pytest.approx(40 * np.radians(75))
    panel = profile(form("leaning panel"), 5.0, FLUIDITY, 1e-3, RISE)
    assert panel.position_mm[-1] == pytest.approx(140)
    assert panel.slope_degrees == pytest.approx(np.full(panel.strain.shape, 60.0))


@pytest.mark.parametrize("slip", SLIPS[:3])
def test_the_rounds_volume_is_kept(slip):
    """What a round thins by flow is the area it gained: thinning adds up to twice its growth."""
    along = profile(form("flat round"), 5.0, 1e-5, slip, 0.0)
    r = along.position_mm
    thinning = np.trapezoid((1 - along.thickness_after_mm / 5) * 2 * r, r) / r[-1] ** 2
    growth = round_growth(5e-3, 30e-3, 1e-5, slip) / 60e-3
    assert thinning == pytest.approx(2 * growth, rel=0.005)  # trapezoids over 60 steps


@pytest.mark.parametrize("slip", SLIPS)
def test_a_wave_is_a_cylinder_to_its_turning_point(slip):
    """A wave asks what a cylinder of its crest's radius asks, wrapped to twice its slope."""
    wave = total("wave", 4.0, slip)
    assert wave == pytest.approx(total("cylinder", 4.0, slip, diameter_mm=30, wrap_degrees=80))


def test_a_steep_cone_asks_more_at_a_narrower_top():
    """A cone with a narrower top bends the sheet more tightly and draws it out more."""
    narrow = form_strains(form("cone", top_diameter_mm=20), 4.0, 1e-3)
    wide = form_strains(form("cone", top_diameter_mm=60), 4.0, 1e-3)
    assert narrow.bend > wide.bend
    assert narrow.per_fluidity > wide.per_fluidity


@pytest.mark.parametrize("slip", SLIPS)
def test_a_wide_panel_hides_more(slip):
    """The wider a flat panel, the less of its measure it grows; almost frictionless, alike."""
    narrow, wide = (total("flat panel", slip=slip, width_mm=w) for w in (60, 120))
    assert narrow > wide or (slip == 1.0 and narrow == pytest.approx(wide, rel=0.01))


def test_a_panel_without_friction():
    """Without friction a panel grows by ρ g h F w / 8, as its edges' weight pulls it out."""
    assert panel_growth(5e-3, 0.06, 0.02, np.inf) == pytest.approx(
        1260 * 9.81 * 5e-3 * 0.02 * 0.06 / 8, rel=1e-6
    )


@pytest.mark.parametrize("name", [n for n in FORMS if n != "leaning panel"])
@pytest.mark.parametrize("slip", [0.0, 1e-3, 1e-2])
def test_a_thinner_sheet_is_asked_less(name, slip):
    """At one fluidity and rise, a thinner sheet is asked for less on every form."""
    thicknesses = np.array([2.0, 3.0, 4.0, 5.0, 6.0])
    assert np.all(np.diff(asked(form_strains(form(name), thicknesses, slip))) > 0)


@pytest.mark.parametrize("name", FORMS)
def test_arrays_are_many_numbers(name):
    """Thicknesses and slips in arrays give what each gives alone."""
    thicknesses, slips = np.array([1.0, 5.0]), np.array([0.0, 1e-2])
    together = form_strains(form(name), thicknesses, slips)
    for i in range(2):
        alone = form_strains(form(name), thicknesses[i], slips[i])
        assert [part[i] for part in together] == pytest.approx(list(alone))


def test_a_vast_thin_dome():
    """Where a rim is too far to be felt, a dome's apex strains as if it had none."""
    near = form_strains(form("dome", diameter_mm=1000, cap_degrees=100), 1.0, 0.0)
    far = form_strains(form("dome", diameter_mm=1000, cap_degrees=120), 1.0, 0.0)
    assert near.per_fluidity == pytest.approx(far.per_fluidity, rel=1e-12)
