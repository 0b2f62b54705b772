"""The surface of a form in section: where each point of a sheet sits, and the stone below it.

Millimetres, y upwards. The sheet's course is `solver.mechanics.profile`; how it is drawn is
`service.drawings.section`.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple, assert_never

from models.form import AnyForm, Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from service.drawings.svg import Point
from solver.mechanics.profile import Profile


class Seat(NamedTuple):
    """A point of the form that carries the sheet, and which way is outwards there.

    `i` counts along the profile; `estimated` is false where the model says nothing.
    """

    x: float
    y: float
    outwards: Point
    i: int
    estimated: bool = True

    def above(self, height: float) -> Point:
        """Return the point at `height` over the form."""
        return self.x + height * self.outwards[0], self.y + height * self.outwards[1]


class Surface(NamedTuple):
    """The seats of a sheet from one end to the other, the edge of the stone, and a name for the
    first point of the profile."""

    seats: list[Seat]
    stone: list[Point]
    first: str


def surface_of(form: AnyForm, profile: Profile) -> Surface:
    """Return the section of `form` in which it strains most."""
    match form:
        case Cylinder():
            return Surface(_over(form.radius_mm, profile), _disc(form.radius_mm, 180), "crown")
        case Dome():
            below = min(180.0, form.cap_degrees + 12)
            return Surface(_over(form.radius_mm, profile), _disc(form.radius_mm, below), "top")
        case Wave():
            return _wave(form.radius_mm, form.half_wrap_degrees, profile)
        case Cone():
            return _cone(form, profile)
        case FlatRound() | FlatPanel():
            return _flat(profile)
        case LeaningPanel():
            return _leaning(form, profile)
        case _:
            assert_never(form)


def _mirrored(half: list[Seat]) -> list[Seat]:
    """Return the seats of both halves, from left to right; `half` runs outwards to the right."""
    left = [s._replace(x=-s.x, outwards=(-s.outwards[0], s.outwards[1])) for s in half[:0:-1]]
    return left + half


def _over(radius: float, profile: Profile) -> list[Seat]:
    return _mirrored([_on_arc(radius, a, i) for i, a in enumerate(profile.slope_degrees)])


def _on_arc(radius: float, degrees: float, i: int) -> Seat:
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return Seat(radius * sine, radius * cosine, (sine, cosine), i)


def _disc(radius: float, below_degrees: float) -> list[Point]:
    """Return a circle down to an angle from its top, cut level there."""
    return [(_on_arc(radius, below_degrees * k / 90, 0)[:2]) for k in range(-90, 91)]


def _wave(radius: float, slope: float, profile: Profile) -> Surface:
    """One crest, and half a trough on either side."""
    last = len(profile.slope_degrees) - 1
    crest = [_on_arc(radius, a, i) for i, a in enumerate(profile.slope_degrees)]
    trough = list(_half_trough(radius, slope, last))
    seats = _mirrored(crest + trough)
    floor = trough[-1].y - radius / 2
    ends = [(seats[-1].x, floor), (seats[0].x, floor)]
    return Surface(seats, [(s.x, s.y) for s in seats] + ends, "crown")


def _half_trough(radius: float, slope: float, last: int) -> Iterator[Seat]:
    turn = _on_arc(2 * radius, slope, last)  # the centre of the trough's arc
    for step in range(1, 16):
        seat = _on_arc(radius, slope * (1 - step / 15), last)
        yield Seat(turn.x - seat.x, turn.y - seat.y, seat.outwards, last, estimated=False)


def _cone(form: Cone, profile: Profile) -> Surface:
    sine, cosine = _direction(form.slope_degrees)
    top, base = form.top_diameter_mm / 2, form.base_diameter_mm / 2
    seats = [
        Seat(top + s * cosine, form.height_mm - s * sine, (sine, cosine), i)
        for i, s in enumerate(profile.position_mm)
    ]
    stone = [(-base, 0.0), (-top, form.height_mm), (top, form.height_mm), (base, 0.0)]
    return Surface(seats, stone, "upper edge")


def _flat(profile: Profile) -> Surface:
    seats = _mirrored([Seat(x, 0.0, (0.0, 1.0), i) for i, x in enumerate(profile.position_mm)])
    edge = seats[-1].x * 1.15
    tray = [(-edge, 0.0), (edge, 0.0), (edge, -edge / 12), (-edge, -edge / 12)]
    return Surface(seats, tray, "middle")


def _leaning(form: LeaningPanel, profile: Profile) -> Surface:
    sine, cosine = _direction(form.slope_degrees)
    height, reach = form.height_mm * sine, form.height_mm * cosine
    seats = [
        Seat(s * cosine, height - s * sine, (sine, cosine), i)
        for i, s in enumerate(profile.position_mm)
    ]
    return Surface(seats, [(0.0, 0.0), (0.0, height), (reach, 0.0)], "upper edge")


def _direction(degrees: float) -> Point:
    return math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
