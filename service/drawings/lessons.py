"""What a kitchen has learned, drawn: the chance against the thickness now and before any bake, with
their ranges, and beside it what was foretold against what came.

Nothing is worked out here; who does is `service.questions.lessons`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.axes import Axes
from service.drawings.ink import BOOKISH, BRICK, DOUGH, INK, PAPER, PLAIN, QUIET_INK
from service.drawings.lettering import NO_BREAK
from service.drawings.svg import drawing, path, shape, words

_WIDTH, _HEIGHT = 900.0, 420.0
_SMALL, _LARGE = 12.5, 19.0


class ChanceAt(NamedTuple):
    """A chance and its range at one thickness, in per cent."""

    thickness_mm: float
    chance: float
    low: float
    high: float


class Seen(NamedTuple):
    """What was foretold of a tray and what came."""

    foretold: float
    seen: float
    pieces: int = 1


@dataclass(frozen=True)
class Learning:
    """What the picture shows; `now` and `before` are of the dough baked last, on its form."""

    title: str
    now: tuple[ChanceAt, ...]
    before: tuple[ChanceAt, ...]
    baked: tuple[tuple[float, float], ...]  # thickness, per cent cracked
    chances: tuple[Seen, ...]
    growths: tuple[Seen, ...]


def draw_learning(learning: Learning) -> str:
    """Return the picture as SVG."""
    thick = max([5.0, *(at.thickness_mm for at in learning.now)])
    left = Axes(70, 90, 360, 250, thick, 100)
    right = Axes(520, 90, 150, 250, 100, 100)
    most_mm = max([2.0, *(max(seen.foretold, seen.seen) for seen in learning.growths)])
    far = Axes(740, 90, 140, 250, most_mm * 1.1, most_mm * 1.1)
    return drawing(
        (0, 0, _WIDTH, _HEIGHT),
        learning.title,
        "Chance of a crack against thickness, now and before any bake; what was foretold against "
        "what came, for cracks and for the growth of rounds.",
        shape("rect", x=0, y=0, width=_WIDTH, height=_HEIGHT, fill=PAPER),
        words(24, 36, learning.title, font_size=_LARGE, font_family=BOOKISH, fill=INK),
        *_chances(learning, left),
        *_against(right, learning.chances, "cracked", f"{NO_BREAK}%", "foretold, %"),
        *_against(far, learning.growths, "grew", f"{NO_BREAK}mm", "foretold, mm"),
    )


def _chances(learning: Learning, axes: Axes) -> Iterator[Element]:
    yield from axes.draw("thickness, mm", "chance of a crack", f"{NO_BREAK}%")
    yield from _band(axes, learning.before, fill="none", stroke=QUIET_INK, dashes="5 4")
    yield from _band(axes, learning.now, fill=DOUGH, stroke=INK, dashes=None)
    for thickness, cracked in learning.baked:
        x, y = axes.at(thickness, cracked)
        yield shape("circle", cx=x, cy=y, r=4, fill=BRICK, stroke=PAPER)
    for row, (name, dashes) in enumerate((("now, four in five within", None), ("before", "5 4"))):
        y = axes.top + 12 + 18 * row
        line = path([(axes.left + 20, y - 4), (axes.left + 46, y - 4)])
        yield shape("path", d=line, stroke=INK, stroke_dasharray=dashes, stroke_width=1.6)
        yield words(axes.left + 52, y, name, font_size=_SMALL, font_family=PLAIN, fill=QUIET_INK)


def _band(
    axes: Axes, along: Sequence[ChanceAt], *, fill: str, stroke: str, dashes: str | None
) -> Iterator[Element]:
    if not along:
        return
    upper = [axes.at(at.thickness_mm, at.high) for at in along]
    lower = [axes.at(at.thickness_mm, at.low) for at in reversed(along)]
    edge = stroke if fill == "none" else None
    yield shape(
        "path",
        d=path([*upper, *lower], closed=True),
        fill=fill,
        fill_opacity=0.45,
        stroke=edge,
        stroke_width=0.8,
        stroke_dasharray=dashes,
    )
    middle = path(axes.at(at.thickness_mm, at.chance) for at in along)
    yield shape(
        "path", d=middle, fill="none", stroke=stroke, stroke_width=1.8, stroke_dasharray=dashes
    )


def _against(
    axes: Axes, seen: Sequence[Seen], name: str, unit: str, x_title: str
) -> Iterator[Element]:
    yield from axes.draw(x_title, name, unit)
    diagonal = path([axes.at(0, 0), axes.at(axes.most_x, axes.most_y)])
    yield shape("path", d=diagonal, stroke=QUIET_INK, stroke_dasharray="2 4")
    for one in seen:
        x, y = axes.at(min(one.foretold, axes.most_x), min(one.seen, axes.most_y))
        size = min(3 + one.pieces**0.5, 8)
        yield shape("circle", cx=x, cy=y, r=size, fill=INK, fill_opacity=0.6)
