"""Rulers: lines with lengths on them, and the grid by which a large drawing falls into sheets."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from service.drawings.caption import BODY, SMALL
from service.drawings.ink import BRICK, INK, PLAIN
from service.drawings.pages import Layout
from service.drawings.svg import Point, number, path, shape, words


def ruler(start: Point, end: Point, length: str) -> Iterator[Element]:
    """Yield a line between ticks with a length on it: level from the left, or upwards."""
    (x1, y1), (x2, y2) = start, end
    level = y1 == y2
    dx, dy = (0.0, 1.5) if level else (1.5, 0.0)
    ticks = [[(x - dx, y - dy), (x + dx, y + dy)] for x, y in (start, end)]
    lines = " ".join(map(path, [[start, end], *ticks]))
    yield shape("path", d=lines, stroke=INK, stroke_width=0.2)
    if level:
        yield _centred((x1 + x2) / 2, y1 + 3.6, length, INK)
    else:
        yield upright_words(x1 - 1.2, (y1 + y2) / 2, length, INK)


def upright_words(x: float, y: float, text: str, fill: str) -> Element:
    """Return words that run upwards past x, y, their middle there."""
    element = _centred(x, y, text, fill)
    element.set("transform", f"rotate(-90 {number(x)} {number(y)})")
    return element


def sheet_grid(layout: Layout) -> Iterator[Element]:
    """Yield the edges of the sheets that a drawing has to be printed on, each with its number."""
    if layout.tile is None:
        return
    (across, down), (wide, high), (width, height) = layout.sheets, layout.tile, layout.page
    uprights = [[(i * wide, 0.0), (i * wide, height)] for i in range(1, across)]
    levels = [[(0.0, i * high), (width, i * high)] for i in range(1, down)]
    lines = " ".join(map(path, uprights + levels))
    yield shape("path", d=lines, stroke=BRICK, stroke_width=0.2, stroke_dasharray="1 2")
    corners = [(x * wide, y * high) for y in range(1, down + 1) for x in range(1, across + 1)]
    yield from (_sheet_number(i, *corner) for i, corner in enumerate(corners, 1))


def _sheet_number(i: int, right: float, foot: float) -> Element:
    style = {"font_family": PLAIN, "text_anchor": "end", "fill": BRICK}
    return words(right - 2, foot - 2, f"sheet {i}", font_size=BODY, **style)


def _centred(x: float, y: float, text: str, fill: str) -> Element:
    style = {"font_family": PLAIN, "text_anchor": "middle", "fill": fill}
    return words(x, y, text, font_size=SMALL, **style)
