"""Tags: a number beside each mark of a chart, placed so that none hides a mark or another tag."""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from service.drawings.svg import Point


class Box(NamedTuple):
    """An upright rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def around(cls, middle: Point, width: float, height: float) -> "Box":
        """Return the rectangle with that middle."""
        (x, y), across, down = middle, width / 2, height / 2
        return cls(x - across, y - down, x + across, y + down)

    @property
    def middle(self) -> Point:
        """Its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def holds(self, other: "Box") -> bool:
        """Tell whether `other` lies within."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )

    def overlap(self, other: "Box") -> float:
        """Return the area that two rectangles share."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(0.0, wide) * max(0.0, high)


def tag_places(
    marks: Sequence[Point],
    size: tuple[float, float],
    frame: Box,
    bars: Sequence[Box] = (),
    taken: Sequence[Box] = (),
) -> list[Point]:
    """Return the middle of each mark's tag: near it, clear of marks, other tags and what is taken.

    A tag may stand on one of `bars` where all else is far away.
    """
    covered = [*taken, *(Box.around(mark, 10, 10) for mark in marks)]
    places: list[Point] = []
    for mark in marks:
        boxes = [Box.around(place, *size) for place in _about(mark, size)]
        inside = [box for box in boxes if frame.holds(box)] or boxes
        best = min(inside, key=lambda box: _badness(box, mark, covered, bars))
        covered.append(best)
        places.append(best.middle)
    return places


def _badness(box: Box, mark: Point, covered: Sequence[Box], bars: Sequence[Box]) -> float:
    hidden = sum(map(box.overlap, covered)), sum(map(box.overlap, bars))
    return _COVER_WEIGHT * hidden[0] + _BAR_WEIGHT * hidden[1] + math.dist(box.middle, mark)


_COVER_WEIGHT, _BAR_WEIGHT = 1000.0, 0.25  # for each square unit hidden, against a unit away


def _about(mark: Point, size: tuple[float, float]) -> Iterator[Point]:
    """Yield places round a mark, nearest first: beside it, above, below, then askew and farther."""
    for away in (1.0, 1.5, 2.2, 3.0, 4.0, 5.0, 6.5, 8.0):
        across, down = (size[0] / 2 + 6) * away, (size[1] / 2 + 6) * away
        for i in (0, 6, 9, 3, 1, 11, 5, 7, 2, 10, 4, 8):  # twelfths of a turn
            turn = math.pi * i / 6
            yield mark[0] + across * math.cos(turn), mark[1] + down * math.sin(turn)
