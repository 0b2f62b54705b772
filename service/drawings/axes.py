"""Axes: a plane of two quantities with round ticks, on which a chart's marks are placed."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from service.drawings.ink import INK, PLAIN, QUIET_INK, RULE
from service.drawings.svg import Point, path, shape, words

_LETTERS = 12.5
_MOST_TICKS = 6
_INSET = 14.0


@dataclass(frozen=True)
class Axes:
    """A plane from nought to `most_x` and `most_y` in a frame; y grows upwards.

    Nought lies `_INSET` inside the frame, so that a mark there does not stand on the axis.
    """

    left: float
    top: float
    width: float
    height: float
    most_x: float
    most_y: float

    def at(self, x: float, y: float) -> Point:
        """Return where a point of the plane is drawn."""
        across, up = x / self.most_x, y / self.most_y
        return self.left + _INSET + across * self._room, self.top + self.height * (1 - up)

    @property
    def right(self) -> float:
        """Where the plane ends."""
        return self.left + self.width

    @property
    def _room(self) -> float:
        return self.width - _INSET

    def draw(self, x_title: str, y_title: str, y_unit: str) -> Iterator[Element]:
        """Yield rules with their numbers, both axes, and what they measure."""
        for y in ticks(self.most_y):
            yield self.level(y, RULE)
            yield _label(self.left - 7, self.at(0, y)[1] + 4.3, f"{y:g}{y_unit}", "end")
        for x in ticks(self.most_x):
            x_at, y_at = self.at(x, 0)
            yield shape("path", d=path([(x_at, y_at), (x_at, y_at + 4)]), stroke=INK)
            yield _label(x_at, y_at + 18, f"{x:g}", "middle")
        yield self.level(0, INK)
        yield _label(self.left - 46, self.top - 16, y_title, "start")
        yield _label(self.right, self.top + self.height + 36, x_title, "end")

    def level(self, y: float, stroke: str, **style: str | float) -> Element:
        """Return a line across the plane at `y`."""
        foot = self.at(0, y)[1]
        line = path([(self.left, foot), (self.right, foot)])
        return shape("path", d=line, stroke=stroke, **style)


def ticks(most: float) -> list[float]:
    """Return round numbers from nought up to `most`: steps of 1, 2 or 5 and their tens."""
    step = round_step(most / (_MOST_TICKS - 1))
    return [step * i for i in range(math.floor(most / step * (1 + 1e-9)) + 1)]


def round_step(least: float) -> float:
    """Return the smallest of 1, 2, 5 and their tens and tenths that is no less than `least`."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= least * (1 - 1e-9))


def _label(x: float, y: float, text: str, anchor: str) -> Element:
    style = {"font_family": PLAIN, "fill": QUIET_INK, "text_anchor": anchor}
    return words(x, y, text, font_size=_LETTERS, **style)
