"""The hero of the page: one form cut through, as written on the left and as proposed on the right.

It stands on a ruler in its own scale. It is part of a page, so its colours are the page's: parts
have classes, not inks. What it shows are estimates, and the page says so beside it.
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element, tostring

from models.form import Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel
from models.thickness import thickness_words
from service.drawings.course import Course
from service.drawings.halves import half_of, stone_of
from service.drawings.lettering import NO_BREAK, percent
from service.drawings.surface import Seat
from service.drawings.svg import Point, number, shape, words

WIDTH, ASIDE, HEIGHT, WHISKER, CLEAR = 760.0, 96.0, 300.0, 52.0, 4.0
"""Of the picture; the room beside the stone; the most the form takes; the longest whisker, and how
far off the face it begins."""

RULER = 46.0
_LEAST_FULL_STRAIN = 0.08  # so that a sheet that hardly strains has short whiskers, not long ones
_MINI = 0.3
_HARDLY = 0.005
_STEEP = 0.8
"""Of a face so steep that what is written stands beside it, not below: how far it looks aside."""
_CORNER = 0.3
"""What a corner turns by at least [rad]; an arc turns less at each of its points."""
CRACKS_SHOWN = 35.0
"""A sheet as likely as this [%] to crack is drawn with cracks."""


class Half(NamedTuple):
    """One state: its course, its chance of a crack [%], and the chance that may be."""

    course: Course
    percent: float
    limit: float

    @property
    def ink(self) -> str:
        """Name the ink of what strains: `a` within the limit, `b` beyond it."""
        return "a" if self.percent <= self.limit else "b"


class Frame(NamedTuple):
    """The scale of a picture [units to a mm], where its ground lies, the strain of the longest
    whisker, and the width."""

    per_mm: float
    foot_mm: float
    ground: float
    full_strain: float
    width: float = WIDTH

    @classmethod
    def around(
        cls, halves: Sequence[Half], width: float = WIDTH, above: float = WHISKER + 30
    ) -> "Frame":
        """Return the frame in which all of `halves` fit at one scale, with room `above` them."""
        share = width / WIDTH
        points = [point for half in halves for point in _outline(half.course)]
        foot, top = min(y for _, y in points), max(y for _, y in points)
        reach = max(abs(x) for x, _ in points)
        per_mm = min((width / 2 - ASIDE * share) / reach, (HEIGHT * share) / max(top - foot, 1e-6))
        strains = [half.course.strain(half.course.worst) for half in halves]
        room = above * share
        ground = room + per_mm * (top - foot)
        return cls(per_mm, foot, ground, max([_LEAST_FULL_STRAIN, *strains]), width)

    def seen(self, place: Point, side: int) -> Point:
        """Return where a place of the right half lies, on the right (1) or mirrored (-1)."""
        x, y = place
        across = self.width / 2 + side * self.per_mm * x
        return across, self.ground - self.per_mm * (y - self.foot_mm)

    @property
    def share(self) -> float:
        """How large the picture is beside the hero."""
        return self.width / WIDTH


def draw_hero(before: Half, after: Half, title: str, told: str) -> str:
    """Return the picture, as markup to be put in a page; `title` and `told` say it in words."""
    frame = Frame.around([before, after])
    stone = _path((frame.seen(p, 1) for p in stone_of(after.course)), closed=True)
    parts = [
        shape("path", class_="form-f", d=stone),
        *_sheet(before, frame, -1),
        *_sheet(after, frame, 1),
        shape("path", class_="cut", d=f"M{number(WIDTH / 2)} 0V{number(frame.ground)}"),
        *_ruler(frame),
        *_thicknesses(before, after, frame),
        *_knobs(after, frame),
    ]
    return _picture((0, 0, WIDTH, frame.ground + RULER), parts, "hero-svg", title, told)


def draw_as_rolled(course: Course, title: str, told: str) -> str:
    """Return the picture of a sheet of which nothing is estimated: as it is laid on its form."""
    half = Half(course, 0.0, 0.0)
    frame = Frame.around([half], above=12)
    stone = _path((frame.seen(p, 1) for p in stone_of(course)), closed=True)
    sheets = [part for side in (-1, 1) for part in _sheet(half, frame, side) if _is_sheet(part)]
    lettering = [*_ruler(frame), *_thicknesses(half, half, frame)]
    parts = [shape("path", class_="form-f", d=stone), *sheets, *lettering]
    return _picture((0, 0, WIDTH, frame.ground + RULER), parts, "hero-svg", title, told)


def _is_sheet(part: Element) -> bool:
    return part.get("class") == "dgh"


def draw_mini(half: Half, among: Sequence[Half]) -> str:
    """Return one way, small, at the scale of all ways; it is told in words beside it."""
    frame = Frame.around(among, WIDTH * _MINI)
    edge = stone_of(half.course)
    stone = _path([frame.seen(p, 1) for p in _corners(edge, max(1, len(edge) // 40))], closed=True)
    line = f"M0 {number(frame.ground)}H{number(frame.width)}"
    sheets = [part for side in (-1, 1) for part in _sheet(half, frame, side, most=12)]
    parts = [shape("path", class_="form-f", d=stone), *sheets]
    parts.append(shape("path", class_="axis", d=line))
    return _picture((0, 0, frame.width, frame.ground + 2), parts, "mini")


def _corners(edge: Sequence[Point], step: int) -> Iterator[Point]:
    """Yield every `step`th point of an outline, and each of its corners."""
    for at, (x, y) in enumerate(edge):
        (left, below), (right, above) = edge[at - 1], edge[(at + 1) % len(edge)]
        turn = math.atan2(above - y, right - x) - math.atan2(y - below, x - left)
        if at % step == 0 or abs(math.remainder(turn, math.tau)) > _CORNER:
            yield x, y


def _picture(
    box: tuple[float, ...],
    parts: Sequence[Element],
    class_: str,
    title: str | None = None,
    told: str = "",
) -> str:
    view = " ".join(map(_short, box))
    if title is None:
        return _markup(shape("svg", *parts, class_=class_, viewBox=view, aria_hidden="true"))
    named = [shape("title"), shape("desc")]
    named[0].text, named[1].text = title, told
    return _markup(shape("svg", *named, *parts, class_=class_, viewBox=view, role="img"))


def _markup(element: Element) -> str:
    return tostring(element, encoding="unicode")


def _outline(course: Course) -> Iterator[Point]:
    yield from ((abs(x), y) for x, y in stone_of(course))
    for seat in half_of(course):
        x, y = seat.above(course.baked(seat))
        yield abs(x), y


def _sheet(half: Half, frame: Frame, side: int, most: int = 30) -> Iterator[Element]:
    """Yield the baked sheet of one half and the whiskers of its strain, at `most` places or a few
    more; `side` -1 is the left."""
    course, seats = half.course, _fewer(half_of(half.course), most)
    under = [frame.seen(seat.above(0), side) for seat in seats]
    face = [frame.seen(seat.above(course.baked(seat)), side) for seat in seats]
    yield shape("path", class_="dgh", d=_path([*under, *reversed(face)], closed=True))
    lines = []
    for seat, (x, y) in zip(seats, face, strict=True):
        if not seat.estimated:
            continue
        length = WHISKER * frame.share * course.strain(seat) / frame.full_strain
        if length < 0.6:
            continue
        dx, dy = side * seat.outwards[0], seat.outwards[1]
        near, far = CLEAR * frame.share, CLEAR * frame.share + length
        ends = [(x + near * dx, y - near * dy), (x + far * dx, y - far * dy)]
        lines.append(_path(ends))
    yield shape("path", class_=f"whk {half.ink}", d="".join(lines) or "M0 0")
    if half.percent >= CRACKS_SHOWN:
        yield shape("path", class_="crk", d="".join(_cracks(seats, under, face, half.percent)))


def _fewer(seats: list[Seat], most: int) -> list[Seat]:
    """Return about `most` of the seats, the last one among them."""
    step = max(1, len(seats) // most)
    return seats[(len(seats) - 1) % step :: step]


def _cracks(
    seats: Sequence[Seat], under: Sequence[Point], face: Sequence[Point], chance: float
) -> Iterator[str]:
    """Yield notches in the face: more of them and deeper, the likelier a crack is."""
    count = 1 + round(chance / 50)
    for k in range(count):
        at = round((k + 0.6) * 0.5 * (len(seats) - 1) / count)
        (x, y), (lower_x, lower_y) = face[at], under[at]
        deep = 0.35 + chance / 220
        tip = (x + deep * (lower_x - x), y + deep * (lower_y - y))
        thick = math.hypot(x - lower_x, y - lower_y) or 1.0
        wide = 0.16 + 0.6 / thick  # of the thickness, along the face
        along_x, along_y = wide * (lower_y - y), wide * (x - lower_x)
        ends = (x - along_x, y - along_y), (x + along_x, y + along_y)
        yield _path([ends[0], tip, ends[1]], closed=True)


def _thicknesses(before: Half, after: Half, frame: Frame) -> Iterator[Element]:
    """Yield each half's thickness, written below the sheet, or above one that lies flat."""
    for half, side in ((before, -1), (after, 1)):
        seats = half_of(half.course)
        leans = isinstance(half.course.target.form, LeaningPanel)  # two of them meet at the top
        seat = seats[len(seats) * (4 if leans else 2) // 5]
        flat = isinstance(half.course.target.form, FlatRound | FlatPanel)
        steep = abs(seat.outwards[0]) > _STEEP
        beside = (14 if steep else 26) / frame.per_mm
        off = half.course.baked(seat) + 70 / frame.per_mm if flat else -beside
        x, y = frame.seen(seat.above(off), side)
        anchor = ("start" if side < 0 else "end") if steep else "middle"
        text = thickness_words(half.course.target.thickness_mm)
        yield words(x, y + 6, text, class_="ts", text_anchor=anchor)


def _ruler(frame: Frame) -> Iterator[Element]:
    """Yield the ground as a ruler in the drawing's own scale, numbered from the middle."""
    half = WIDTH / 2 / frame.per_mm
    step = next(step for step in (1, 2, 5, 10, 20, 50, 100, 200, 500) if half / step <= 7)
    ticks, middle, ground = [], WIDTH / 2, frame.ground
    few = int(half // (step / 4))
    for k in range(-few, few + 1):
        x = middle + k * step / 4 * frame.per_mm
        ticks.append(f"M{_short(x)} {_short(ground)}v{9 if k % 4 == 0 else 5}")
        if k % 4 == 0 and 12 < x < WIDTH - 40:
            yield words(x, ground + 28, f"{abs(k) * step // 4}", class_="tq", text_anchor="middle")
    yield shape("path", class_="axis", d=f"M0 {_short(ground)}H{_short(WIDTH)}")
    yield shape("path", class_="tick", d="".join(ticks))
    yield words(WIDTH - 4, ground + 28, "mm", class_="tq", text_anchor="end")


def _knobs(after: Half, frame: Frame) -> Iterator[Element]:
    """Yield what can be dragged: thickness everywhere, across and wrap where the form has them."""
    course, form = after.course, after.course.target.form
    seats = half_of(course)
    at = seats[len(seats) // 4]
    yield _knob("hand.thickness", frame.seen(at.above(course.baked(at)), 1), _toward(at), frame)
    if isinstance(form, Cylinder | Dome):
        foot = (form.radius_mm, frame.foot_mm)
        yield _knob(f"{form.kind}.diameter_mm", frame.seen(foot, 1), (1, 0), frame, 2)
        edge, turn = seats[-1], form.radius_mm * 3.14159 / 180
        along = (edge.outwards[1] * turn, edge.outwards[0] * turn)
        wrap = "cylinder.wrap_degrees" if isinstance(form, Cylinder) else "dome.cap_degrees"
        times = 2 if isinstance(form, Cylinder) else 1
        end = frame.seen(edge.above(course.baked(edge) / 2), 1)
        yield _knob(wrap, end, along, frame, times)


def _toward(seat: Seat) -> Point:
    return seat.outwards[0], -seat.outwards[1]


def _knob(name: str, at: Point, toward: Point, frame: Frame, times: float = 1) -> Element:
    """Return a knob; moved by a vector, its field changes by the vector's part along `toward`."""
    x, y = at
    dx, dy = toward
    size = dx * dx + dy * dy
    per = times / (frame.per_mm * size)
    return shape(
        "g",
        shape("circle", class_="hit", r=24),
        shape("circle", class_="k", r=9),
        class_="knob",
        data_for=name,
        data_x=dx * per,
        data_y=dy * per,
        transform=f"translate({_short(x)} {_short(y)})",
    )


def stretch_words(half: Half) -> str:
    """Return how far the outer face stretches where it stretches most, in whole percent."""
    if half.course.strain(half.course.worst) < _HARDLY:
        return f"under 1{NO_BREAK}%"
    return percent(half.course.strain(half.course.worst), 0)


def _path(points: Iterator[Point] | Sequence[Point], *, closed: bool = False) -> str:
    steps = "L".join(f"{_short(x)} {_short(y)}" for x, y in points)
    return f"M{steps}{'Z' if closed else ''}"


def _short(value: float) -> str:
    """Return a number to a tenth: a page has no finer dots."""
    return f"{value:.1f}".removesuffix(".0")
