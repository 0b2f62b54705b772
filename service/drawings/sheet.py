"""A sheet on its form, to scale: stone below, the sheet rolled and baked, whiskers of strain."""

from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from service.drawings.course import WHISKER, Course, Scale
from service.drawings.ink import BRICK, DOUGH, INK, PLAIN, STONE, STONY
from service.drawings.lettering import percent
from service.drawings.surface import Seat
from service.drawings.svg import Point, path, shape, words

_EVERY = 4  # points of the profile from whisker to whisker
_LEAST_SHOWN = 0.0005  # less would read 0.0 %
_CLEAR = 3.0  # between the face and the foot of its whiskers
_LETTERS = 15.0


@dataclass(frozen=True)
class SheetPicture:
    """One course in a picture: its middle, and the ground that the stone stands on."""

    course: Course
    scale: Scale
    middle: float
    width: float
    ground: float

    def draw(self) -> Iterator[Element]:
        """Yield ground, stone, sheet, whiskers and the greatest strain."""
        left, right = self.middle - self.width / 2, self.middle + self.width / 2
        stone = path(map(self._seen, self.course.surface.stone), closed=True)
        yield shape("path", d=stone, fill=STONE)
        yield shape("path", d=stone, fill=STONY, stroke=INK, stroke_width=1.3, **_ROUND)
        yield shape("path", d=path([(left, self.ground), (right, self.ground)]), stroke=INK)
        yield from self._sheet()
        yield from self._whiskers()

    def _seen(self, place: Point) -> Point:
        (left, foot), (right, _) = self.course.extent
        x, y = place
        per_mm = self.scale.per_mm
        return self.middle + per_mm * (x - (left + right) / 2), self.ground - per_mm * (y - foot)

    def _face(self, seat: Seat) -> Point:
        return self._seen(seat.above(self.course.baked(seat)))

    def _sheet(self) -> Iterator[Element]:
        """The baked sheet filled where it is known, and the rolled one as a broken line."""
        known, seats = self.course.known, self.course.surface.seats
        under = [self._seen(seat.above(0)) for seat in known]
        baked = path([*under, *map(self._face, reversed(known))], closed=True)
        yield shape("path", d=baked, fill=DOUGH, stroke=INK, stroke_width=1.3, **_ROUND)
        rolled = [seat.above(self.course.target.thickness_mm) for seat in seats]
        before = path(map(self._seen, [seats[0].above(0), *rolled, seats[-1].above(0)]))
        yield shape("path", d=before, fill="none", stroke=INK, stroke_dasharray="3 2", **_ROUND)

    def _whiskers(self) -> Iterator[Element]:
        """Lines out of the face as long as the strain, and the greatest strain in words."""
        if self.course.strain(self.course.worst) < _LEAST_SHOWN:
            return
        known = self.course.known
        ends = path(self._off(seat, self._length(seat)) for seat in known)
        yield shape("path", d=ends, fill="none", stroke=BRICK, stroke_width=0.8, **_ROUND)
        lines = " ".join(
            path([self._off(seat, 0), self._off(seat, self._length(seat))])
            for seat in known
            if seat.i % _EVERY == 0
        )
        yield shape("path", d=lines, stroke=BRICK, stroke_width=1.6, stroke_linecap="round")
        yield self._greatest()

    def _length(self, seat: Seat) -> float:
        return WHISKER * self.course.strain(seat) / self.scale.full_strain

    def _off(self, seat: Seat, length: float) -> Point:
        """Return the point at `length` from the face, outwards."""
        (x, y), (dx, dy) = self._face(seat), seat.outwards
        return x + (_CLEAR + length) * dx, y - (_CLEAR + length) * dy

    def _greatest(self) -> Element:
        seat = self.course.worst
        x, y = self._off(seat, self._length(seat) + 7)
        anchor = "middle" if abs(seat.outwards[0]) < 0.3 else "start"
        strain = percent(self.course.strain(seat))
        return words(
            x,
            y,
            strain,
            font_size=_LETTERS,
            font_family=PLAIN,
            fill=BRICK,
            font_weight="bold",
            text_anchor=anchor,
        )


_ROUND = {"stroke_linejoin": "round"}
