"""The demand as a bar: bend, rise and flow end to end, and where a crack opens."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from models.chance import CrackChance
from service.drawings.ink import BRICK, DOUGH, HATCHED, INK, PAPER, PLAIN
from service.drawings.lettering import percent, width_of
from service.drawings.svg import Point, path, shape, words

BAR_ROOM = 82.0
"""Height of a bar with its lettering."""

_LETTERS = 12.5
_THICK = 15.0


def demand_bar(chance: CrackChance, at: Point, width: float, full: float) -> Iterator[Element]:
    """Yield the bar of one state, its upper left corner at `at`; `full` strain fills `width`."""
    x, y = at
    shares = chance.demand
    parts = {"bend": shares.bend, "rise": shares.rise, "flow": shares.flow}
    left, top = x, y + 27
    for name, strain in parts.items():
        length = width * max(strain, 0.0) / full
        yield _segment(name, left, top, length)
        left += length
    yield from _bearing(x + width * chance.crack_strain / full, top, x, width, chance.crack_strain)
    left = x
    for name, strain in parts.items():
        label = f"{name} {percent(strain)}"
        yield _segment(name, left, top + _THICK + 12, 11, 11)
        yield _letters(left + 15, top + _THICK + 22, label)
        left += 15 + width_of(label, _LETTERS) + 8


def _segment(name: str, x: float, y: float, width: float, height: float = _THICK) -> Element:
    """One part of the demand: black, hatched or the tone of dough, so that no colour is needed."""
    fill = {"bend": INK, "rise": HATCHED, "flow": DOUGH}[name]
    style: dict[str, str | float] = {"fill": fill, "stroke": INK, "stroke_width": 1}
    return shape("rect", x=x, y=y, width=width, height=height, **style)


def _bearing(
    mark: float, top: float, left: float, width: float, crack_strain: float
) -> Iterator[Element]:
    """Mark where a crack opens, its words turned inwards from the nearer end."""
    line = path([(mark, top - 5), (mark, top + _THICK + 5)])
    yield shape("path", d=line, stroke=PAPER, stroke_width=4)
    yield shape("path", d=line, stroke=BRICK, stroke_width=2)
    text = f"cracks at about {percent(crack_strain)}"
    anchor = "start" if mark < left + width / 2 else "end"
    yield _letters(mark, top - 8, text, fill=BRICK, text_anchor=anchor)


def _letters(x: float, y: float, text: str, **style: str) -> Element:
    style = {"fill": INK, **style}
    return words(x, y, text, font_size=_LETTERS, font_family=PLAIN, **style)
