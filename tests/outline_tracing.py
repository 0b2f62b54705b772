"""An outline followed point by point, and what a ruler and squared paper would then say of it."""

import math
from itertools import pairwise

from models.outline import Arc, Outline, Point


def traced(outline: Outline, points_per_arc: int = 4000) -> list[tuple[float, float]]:
    """Return points along the whole edge, from the start back to it."""
    here = outline.start
    points = [(here.x_mm, here.y_mm)]
    for cut in outline.cuts:
        if isinstance(cut, Arc):
            points += _along(here, cut, points_per_arc)
        points.append((cut.to.x_mm, cut.to.y_mm))
        here = cut.to
    return points


def _along(start: Point, arc: Arc, count: int) -> list[tuple[float, float]]:
    """The centre of an arc by plane geometry: on the chord's bisector, on the side that it turns
    about; then equal steps of angle round it."""
    dx, dy = arc.to.x_mm - start.x_mm, arc.to.y_mm - start.y_mm
    chord = math.hypot(dx, dy)
    off = math.sqrt(max(0.0, arc.radius_mm**2 - chord**2 / 4))
    side = 1 if arc.clockwise != arc.over_half else -1
    cx = start.x_mm + dx / 2 - side * off * dy / chord
    cy = start.y_mm + dy / 2 + side * off * dx / chord
    first = math.atan2(start.y_mm - cy, start.x_mm - cx)
    last = math.atan2(arc.to.y_mm - cy, arc.to.x_mm - cx)
    turn = (last - first) % (2 * math.pi)  # y runs downwards, so this way round is clockwise
    turn = turn if arc.clockwise else turn - 2 * math.pi
    return [
        (
            cx + arc.radius_mm * math.cos(first + turn * i / count),
            cy + arc.radius_mm * math.sin(first + turn * i / count),
        )
        for i in range(1, count)
    ]


def area_of(points: list[tuple[float, float]]) -> float:
    """Return the area inside a closed line of points (Gauss's shoelace formula)."""
    pairs = pairwise(points)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


def length_of(points: list[tuple[float, float]]) -> float:
    """Return how long a line of points is."""
    return sum(math.dist(a, b) for a, b in pairwise(points))
