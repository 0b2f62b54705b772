"""Halves: a sheet followed from the middle of its form to one edge, where each half may be another.

The left half of a picture shows one state and the right half another, at one scale. How they are
drawn is `service.drawings.hero`; the courses themselves are `service.drawings.course`.
"""

import math
from collections.abc import Iterator
from typing import assert_never

from models.form import Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from service.drawings.course import Course
from service.drawings.surface import Seat
from service.drawings.svg import Point

_STONE_BEYOND = 8.0
"""Degrees of a cylinder's stone that show below the edge of a sheet that reaches under it."""


def half_of(course: Course) -> list[Seat]:
    """Return the seats from the middle outwards, to the right; a wave's over its whole sheet."""
    form, seats = course.target.form, course.surface.seats
    match form:
        case Cone() | LeaningPanel():
            return seats
        case Wave():
            return list(_half_wave(form, seats[len(seats) // 2 :]))
        case Cylinder() | Dome() | FlatRound() | FlatPanel():
            return seats[len(seats) // 2 :]
        case _:
            assert_never(form)


def stone_of(course: Course) -> list[Point]:
    """Return the outline of the stone, the same on both sides of the middle."""
    form = course.target.form
    match form:
        case Cylinder():
            return _round_stone(form.radius_mm, form.half_wrap_degrees)
        case LeaningPanel():
            foot, top, reach = course.surface.stone
            return [(-reach[0], foot[1]), top, reach]
        case Wave():
            half = [(seat.x, seat.y) for seat in half_of(course)]
            floor = min(y for _, y in half) - form.radius_mm / 2
            right = [*half, (half[-1][0], floor)]
            return [*((-x, y) for x, y in reversed(right)), *right]
        case Cone() | Dome() | FlatRound() | FlatPanel():
            return course.surface.stone
        case _:
            assert_never(form)


def _round_stone(radius: float, half_wrap: float) -> list[Point]:
    """Return a roll cut level at its middle, or whole where the sheet reaches below that."""
    below = 90.0 if half_wrap <= 90 else 180.0
    angles = (math.radians(below * k / 48) for k in range(-48, 49))
    return [(radius * math.sin(a), radius * math.cos(a)) for a in angles]


def _half_wave(form: Wave, crest_and_trough: list[Seat]) -> Iterator[Seat]:
    """Yield half of all crests: from the middle crest, or from the trough between two of them."""
    quarter = crest_and_trough[-1].x
    rising = [seat._replace(x=quarter - seat.x) for seat in reversed(crest_and_trough)]
    rising = [seat._replace(outwards=(-seat.outwards[0], seat.outwards[1])) for seat in rising]
    falls = form.crests % 2 == 1
    for step in range(form.crests):
        for seat in crest_and_trough if falls else rising:
            yield seat._replace(x=seat.x + step * quarter)
        falls = not falls
