"""Surfaces: every seat lies on its form, looks outwards from it, and a sheet has two ends."""

import math
from itertools import pairwise

import pytest

from tests.models.test_template import EVERY


@pytest.mark.parametrize("form", EVERY)
def test_ways_outwards_are_square_to_the_seats(form, before_and_after):
    """Each way outwards is of length one and square to the line of seats about it."""
    seats = before_and_after(form)[0].course.surface.seats
    for last, seat, following in zip(seats, seats[1:], seats[2:], strict=False):
        along = (following.x - last.x, following.y - last.y)
        assert math.hypot(*seat.outwards) == pytest.approx(1)
        across = (along[0] * seat.outwards[0] + along[1] * seat.outwards[1]) / math.hypot(*along)
        assert abs(across) < 0.06


@pytest.mark.parametrize("form", EVERY)
def test_seats_are_as_far_apart_as_the_profile_says(form, before_and_after):
    """Walked along the stone, the sheet is as long as the profile, or twice that where halved."""
    course = before_and_after(form)[0].course
    seats = course.known
    walked = sum(math.dist((a.x, a.y), (b.x, b.y)) for a, b in pairwise(seats))
    length = float(course.profile.position_mm[-1])
    halves = 1 if form["kind"] in {"cone", "leaning_panel"} else 2
    assert walked == pytest.approx(halves * length, rel=1e-3)


@pytest.mark.parametrize("form", EVERY)
def test_the_sheet_lies_outside_the_stone(form, before_and_after):
    """No point of the rolled sheet's face is nearer to the middle of the stone than its seat."""
    course = before_and_after(form)[0].course
    for seat in course.surface.seats:
        face = seat.above(course.target.thickness_mm)
        assert math.dist(face, (seat.x, seat.y)) == pytest.approx(course.target.thickness_mm)


def test_a_cylinder_hangs_alike_on_both_sides(before_and_after):
    """A draped sheet is the same to the left as to the right of its crown."""
    form = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
    seats = before_and_after(form)[0].course.surface.seats
    for left, right in zip(seats, reversed(seats), strict=True):
        assert (left.x, left.y, left.i) == pytest.approx((-right.x, right.y, right.i))


def test_a_wave_knows_its_crest_alone(before_and_after):
    """In the troughs, of which the model says nothing, no strain and no baked sheet is drawn."""
    form = {"kind": "wave", "crest_radius_mm": 15, "slope_degrees": 40}
    course = before_and_after(form)[0].course
    assert 0 < len(course.known) < len(course.surface.seats)
    assert max(abs(seat.x) for seat in course.known) == pytest.approx(
        15 * math.sin(math.radians(40))
    )
    ends = course.surface.seats[0], course.surface.seats[-1]
    assert [abs(end.x) for end in ends] == pytest.approx([30 * math.sin(math.radians(40))] * 2)
