"""What holds of every template, whatever the form."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.form import LONGEST_WAVE_MM, Cone, Cylinder, Dome, FlatPanel, Wave
from models.target import Target
from models.template import pieces_grams, template
from tests.outline_tracing import area_of, traced


def between(low, high):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


def cylinders(least_wrap, most_wrap):
    return st.builds(
        Cylinder,
        kind=st.just("cylinder"),
        diameter_mm=between(20, 1000),
        wrap_degrees=between(least_wrap, most_wrap),
        length_mm=between(20, 1000),
    )


FORMS = st.one_of(
    cylinders(10, 240),
    st.builds(
        Dome, kind=st.just("dome"), diameter_mm=between(20, 1000), cap_degrees=between(10, 120)
    ),
    st.builds(
        lambda radius, slope, width, crests: Wave(
            kind="wave",
            crest_radius_mm=radius,
            slope_degrees=slope,
            width_mm=width,
            crests=min(crests, math.floor(LONGEST_WAVE_MM / (4 * radius * math.radians(slope)))),
        ),
        between(5, 500),
        between(5, 80),
        between(20, 1000),
        st.integers(1, 20),
    ),
    st.builds(
        FlatPanel,
        kind=st.just("flat_panel"),
        width_mm=between(20, 1000),
        height_mm=between(20, 1000),
    ),
    st.builds(
        lambda top, wider, height, wrap: Cone(
            kind="cone",
            base_diameter_mm=min(1000.0, top + wider),
            top_diameter_mm=top,
            height_mm=height,
            wrap_degrees=wrap,
        ),
        between(10, 900),
        between(10, 100),
        between(20, 1000),
        between(10, 330),
    ),
)
TARGETS = st.builds(lambda form, t: Target(form=form, thickness_mm=t), FORMS, between(1.5, 5))


@given(TARGETS, between(1.0, 1.5))
def test_area_times_thickness_times_density_is_the_dough(target, density):
    """Grams to a piece are its area, its thickness and its density multiplied, and no more."""
    piece = template(target, density)
    grams = piece.area_mm2 * target.thickness_mm / 1000 * density
    assert piece.dough_grams_per_piece == pytest.approx(grams, rel=1e-12)


@given(TARGETS, st.integers(1, 10_000), between(0, 100))
def test_many_pieces_take_as_many_times_the_dough(target, pieces, trimmings):
    """The dough of all is that of one, times the pieces, with its share of trimmings."""
    one = template(target).dough_grams_per_piece
    whole = pieces_grams(target, pieces, trimmings)
    assert whole == pytest.approx(pieces * one * (1 + trimmings / 100), rel=1e-12)


@given(cylinders(20, 120), between(10, 120), between(1.5, 8))
def test_wraps_add_up(form, more, thickness):
    """Two wraps in a row take as much as one of both together."""

    def width(degrees):
        wrapped = form.model_copy(update={"wrap_degrees": degrees})
        return template(Target(form=wrapped, thickness_mm=thickness)).width_mm

    both = width(form.wrap_degrees + more)
    assert both == pytest.approx(width(form.wrap_degrees) + width(more), rel=1e-12)


@given(TARGETS)
def test_outlines_enclose_the_area_said(target):
    """Every outline, traced, closes within its rectangle and holds the area that is said."""
    piece = template(target)
    points = traced(piece.outline, 1500)
    assert math.dist(points[0], points[-1]) < 1e-6
    assert area_of(points) == pytest.approx(piece.area_mm2, rel=1e-5)
    xs, ys = zip(*points, strict=True)
    assert max(xs) <= piece.width_mm * (1 + 1e-6)
    assert max(ys) <= piece.height_mm * (1 + 1e-6)


@given(TARGETS)
def test_no_cap_is_larger_than_what_is_cut_for_it(target):
    """A piece never has to stretch over its form: it bends, or it gathers."""
    piece = template(target)
    assert piece.covers_mm2 <= piece.area_mm2 * (1 + 1e-12)
    assert piece.stretch_percent <= 0
