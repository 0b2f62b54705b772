"""An outline: the edge of a flat piece, as a knife follows it, in lines and arcs of millimetres.

The origin is the upper left corner of the upright rectangle round the piece; x runs to the right
and y downwards, as in a drawing. Which piece a form needs is `models.flat_piece`.
"""

import math
from typing import Annotated, Literal

from pydantic import Field

from models.value import Value


class Point(Value):
    """A place on the piece."""

    x_mm: float
    y_mm: float


class Line(Value):
    """A straight cut to a point."""

    kind: Literal["line"] = "line"
    to: Point


class Arc(Value):
    """A cut along a circle to a point; `over_half` where it runs more than half way round."""

    kind: Literal["arc"] = "arc"
    to: Point
    radius_mm: float
    clockwise: bool
    over_half: bool = False


Cut = Annotated[Line | Arc, Field(discriminator="kind")]


class Outline(Value):
    """A closed edge: from `start` along every cut, of which the last ends at `start`."""

    width_mm: float
    height_mm: float
    start: Point
    cuts: tuple[Cut, ...]


class Size(Value):
    """A length or an angle to cut to, and what it is on the piece."""

    name: str
    value: float
    unit: Literal["mm", "degrees"]


class Guide(Value):
    """A line to mark on the dough, which helps to lay it straight on the form."""

    name: str
    start: Point
    end: Point


def rectangle(width: float, height: float) -> Outline:
    """Return a rectangle [mm]."""
    corners = [(width, 0.0), (width, height), (0.0, height), (0.0, 0.0)]
    return Outline(
        width_mm=width,
        height_mm=height,
        start=_at(0, 0),
        cuts=tuple(Line(to=_at(x, y)) for x, y in corners),
    )


def circle(radius: float) -> Outline:
    """Return a round of `radius` [mm], cut in two halves."""
    left, right = _at(0, radius), _at(2 * radius, radius)
    return Outline(
        width_mm=2 * radius,
        height_mm=2 * radius,
        start=left,
        cuts=tuple(Arc(to=to, radius_mm=radius, clockwise=True) for to in (right, left)),
    )


def sector(inner: float, breadth: float, angle: float) -> Outline:
    """Return a piece of a ring: from radius `inner` [mm] outwards by `breadth`, over `angle` [rad].

    It opens upwards, the long arc below. An arc's middle lies 2 r sin²(a/4) below its ends, which
    keeps its accuracy where the ring is nearly straight and `inner` immense.
    """
    outer, half = inner + breadth, angle / 2
    inner_rise, outer_rise = (2 * r * math.sin(half / 2) ** 2 for r in (inner, outer))
    height = max(breadth + inner_rise, outer_rise)
    middle = outer * math.sin(min(half, math.pi / 2))

    def corner(radius: float, above_foot: float, side: int) -> Point:
        return _at(middle + side * radius * math.sin(half), height - above_foot)

    def arc(radius: float, above_foot: float, side: int) -> Arc:
        return Arc(
            to=corner(radius, above_foot, side),
            radius_mm=radius,
            clockwise=side < 0,
            over_half=angle > math.pi,
        )

    start = corner(inner, breadth + inner_rise, -1)
    return Outline(
        width_mm=2 * middle,
        height_mm=height,
        start=start,
        cuts=(
            arc(inner, breadth + inner_rise, +1),
            Line(to=corner(outer, outer_rise, +1)),
            arc(outer, outer_rise, -1),
            Line(to=start),
        ),
    )


def _at(x: float, y: float) -> Point:
    return Point(x_mm=float(x), y_mm=float(y))
