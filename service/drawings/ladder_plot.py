"""The plane of a ladder: rungs with their ranges, the front as stairs, and the limit."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, dist
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.axes import Axes, round_step
from service.drawings.ink import BRICK, DOUGH, INK, PAPER, PLAIN, QUIET_INK
from service.drawings.lettering import NO_BREAK
from service.drawings.svg import Point, path, shape, words
from service.drawings.tags import Box, tag_places

PLOT_ROOM = 350.0
"""Height of the plane with its lettering."""

_PLANE = 260.0
_LETTERS, _TAG = 12.5, (18.0, 14.0)
_MARK, _FRONT_MARK, _THREADED = 4.6, 2.6, 24.0
_APART, _MOST_ASIDE = 8.0, 32.0  # between bars that would stand on one another


@dataclass(frozen=True)
class RungMark:
    """One rung: its words, its cost in texture, and the chance of a crack with its range."""

    label: str
    texture_cost: float
    chance_percent: float
    low_percent: float
    high_percent: float


class FrontMark(NamedTuple):
    """A point of the front: the least cost in texture for which a crack is no likelier."""

    texture_cost: float
    chance_percent: float


def draw_plot(
    rungs: Sequence[RungMark],
    front: Sequence[FrontMark],
    at: Point,
    width: float,
    limit_percent: float,
) -> Iterator[Element]:
    """Yield the plane with every rung on it, its upper left corner at `at`."""
    axes = _axes(rungs, front, at, width, limit_percent)
    places = _places(rungs, axes)
    yield from axes.draw("harm to texture, as cost", "chance of a crack", f"{NO_BREAK}%")
    yield from _limit(axes, limit_percent)
    landings = [axes.at(*mark) for mark in sorted(front)]
    yield from _stairs(landings, axes)
    bars = [_bar(axes, rung, place[0]) for rung, place in zip(rungs, places, strict=True)]
    yield from (_bar_drawn(bar) for bar in bars)
    for x, y in places:
        yield shape("circle", cx=x, cy=y, r=_MARK, fill=INK, stroke=INK, stroke_width=1.6)
    taken = [_limit_words(axes, limit_percent), *(Box.around(at, 8, 8) for at in landings)]
    yield from _tags(axes, places, bars, taken)


def _axes(
    rungs: Sequence[RungMark], front: Sequence[FrontMark], at: Point, width: float, limit: float
) -> Axes:
    """Round the plane up to whole ticks of cost, and to whole fifths of certainty."""
    costs = [*(rung.texture_cost for rung in rungs), *(mark.texture_cost for mark in front)]
    cost = 1.06 * max(costs, default=0.0) or 1.0
    chances = [*(rung.high_percent for rung in rungs), *(mark.chance_percent for mark in front)]
    chance = max([limit, *chances])
    step = round_step(cost / 5)
    most_chance = min(100.0, 20.0 * ceil(chance * 1.02 / 20))
    return Axes(at[0] + 46, at[1] + 40, width - 46, _PLANE, ceil(cost / step) * step, most_chance)


def _places(rungs: Sequence[RungMark], axes: Axes) -> list[Point]:
    """Return where marks are drawn: in their places, or a little aside so that bars stand clear."""
    places = [axes.at(rung.texture_cost, rung.chance_percent) for rung in rungs]
    last = -_APART
    for i in sorted(range(len(places)), key=lambda i: (places[i], i)):
        x, y = places[i]
        last = min(max(x, last + _APART), x + _MOST_ASIDE)
        places[i] = (last, y)
    return places


def _limit(axes: Axes, limit: float) -> Iterator[Element]:
    yield axes.level(limit, BRICK, stroke_width=1.6, stroke_dasharray="7 4")
    text = f"limit {limit:g}{NO_BREAK}%"
    yield _words(axes.right, axes.at(0, limit)[1] - 5, text, BRICK, "end")


def _limit_words(axes: Axes, limit: float) -> Box:
    level = axes.at(0, limit)[1]
    return Box(axes.right - 80, level - 18, axes.right, level)


def _stairs(places: Sequence[Point], axes: Axes) -> Iterator[Element]:
    """From each point level to the next one's cost, then down to it; the last runs on."""
    steps: list[Point] = []
    for x, y in places:
        steps += [(x, steps[-1][1]), (x, y)] if steps else [(x, y)]
    if steps:
        steps.append((axes.right, steps[-1][1]))
        yield shape("path", d=path(steps), fill="none", stroke=INK, stroke_width=1.2)
    for x, y in places:
        yield shape("circle", cx=x, cy=y, r=_FRONT_MARK, fill=DOUGH, stroke=INK, stroke_width=1)


def _bar(axes: Axes, rung: RungMark, x: float) -> Box:
    """Where a rung's range is drawn, with the caps at its ends."""
    high, low = (axes.at(0, chance)[1] for chance in (rung.high_percent, rung.low_percent))
    return Box(x - 2.5, high, x + 2.5, low)


def _bar_drawn(bar: Box) -> Element:
    x = (bar.left + bar.right) / 2
    caps = [[(bar.left, y), (bar.right, y)] for y in (bar.top, bar.bottom)]
    lines = " ".join(map(path, [[(x, bar.top), (x, bar.bottom)], *caps]))
    return shape("path", d=lines, stroke=QUIET_INK, stroke_width=1.1)


def _tags(
    axes: Axes, places: Sequence[Point], bars: Sequence[Box], taken: Sequence[Box]
) -> Iterator[Element]:
    """Number every mark, with a thread to it where its number had to move away."""
    frame = Box(axes.left, axes.top - 16, axes.right, axes.top + axes.height)
    tags = tag_places(places, _TAG, frame, bars, taken)
    for number, (mark, tag) in enumerate(zip(places, tags, strict=True), 1):
        if dist(mark, tag) > _THREADED:
            yield shape("path", d=path([mark, tag]), stroke=INK, stroke_width=0.6)
        yield shape("rect", x=tag[0] - 8, y=tag[1] - 7, width=16, height=14, rx=3, fill=PAPER)
        yield _words(tag[0], tag[1] + 4.4, f"{number}", INK, "middle", font_weight="bold")


def _words(x: float, y: float, text: str, fill: str, anchor: str, **style: str) -> Element:
    style = {"font_family": PLAIN, "fill": fill, "text_anchor": anchor, **style}
    return words(x, y, text, font_size=_LETTERS, **style)
