"""A course: a sheet's profile laid on the surface of its form, and the scale to draw it at."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from models.target import Target
from service.drawings.surface import Seat, Surface, surface_of
from service.drawings.svg import Point
from solver.mechanics.profile import Profile

WHISKER = 34.0
"""The longest whisker; the others are as much shorter as their strain is."""

ASIDE, ABOVE = WHISKER + 14, WHISKER + 34
"""Room for whiskers, and for the words at their ends."""

_LEAST_FULL_STRAIN = 0.05  # so that a sheet that hardly strains has short whiskers, not long ones
_MOST_RISEN = 3.0  # times as thick as rolled; more is written, not drawn


@dataclass(frozen=True)
class Course:
    """A profile and the form it is on."""

    target: Target
    profile: Profile

    @cached_property
    def surface(self) -> Surface:
        """Where each point of the profile sits."""
        return surface_of(self.target.form, self.profile)

    def baked(self, seat: Seat) -> float:
        """Return how thick the baked sheet is drawn at a seat [mm]."""
        most = _MOST_RISEN * self.target.thickness_mm
        return min(float(self.profile.thickness_after_mm[seat.i]), most)

    def strain(self, seat: Seat) -> float:
        """Return how much the outer face stretches at a seat; being pushed together is nothing."""
        return max(0.0, float(self.profile.strain[seat.i]))

    @cached_property
    def known(self) -> list[Seat]:
        """The seats of which the model says anything."""
        return [seat for seat in self.surface.seats if seat.estimated]

    @cached_property
    def worst(self) -> Seat:
        """The seat that strains most; the middle one of many alike."""
        most = max(map(self.strain, self.known))
        alike = [seat for seat in self.known if self.strain(seat) >= most * (1 - 1e-9)]
        return alike[len(alike) // 2]

    @cached_property
    def extent(self) -> tuple[Point, Point]:
        """The least and the greatest x and y of stone and sheet [mm]."""
        outside = (seat.above(self.baked(seat)) for seat in self.known)
        xs, ys = zip(*self.surface.stone, *outside, strict=True)
        return (min(xs), min(ys)), (max(xs), max(ys))


class Scale(NamedTuple):
    """Units of the drawing to a millimetre, and the strain of the longest whisker."""

    per_mm: float
    full_strain: float

    @classmethod
    def fitting(cls, courses: Sequence[Course], width: float, height: float) -> "Scale":
        """Return the scale at which every course fits into a picture of that size."""
        extents = [course.extent for course in courses]
        wide = max(right - left for (left, _), (right, _) in extents)
        high = max(top - foot for (_, foot), (_, top) in extents)
        return cls(
            per_mm=min((width - 2 * ASIDE) / wide, (height - ABOVE) / high),
            full_strain=max([_LEAST_FULL_STRAIN, *(c.strain(c.worst) for c in courses)]),
        )
