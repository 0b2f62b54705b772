"""Printed sheets: a template as true pages, one sheet each, with overlaps to glue by and marks.

A piece that fits one page is one sheet. A larger one is cut into windows that overlap; each sheet
has its own bar of 100 mm, its number and what it belongs to. The drawing is
`service.drawings.template`.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple
from xml.etree.ElementTree import Element, tostring

from models.target import Target
from models.template import Template
from service.drawings.ink import BRICK, INK, PLAIN
from service.drawings.pages import MARGIN, PAPERS, PageSize, Paper
from service.drawings.svg import number, shape, words
from service.drawings.template import template_elements

OVERLAP_MM = 10.0
"""What two sheets share, to be glued; common practice, no source."""

BAR_MM = 100.0


class PrintedSheets(NamedTuple):
    """The size of a page and a drawing for each."""

    page: PageSize
    sheets: tuple[str, ...]

    @property
    def turned(self) -> bool:
        """Whether the paper lies on its side."""
        return self.page.width > self.page.height


class _Cut(NamedTuple):
    """How a drawing falls into windows that overlap."""

    window: PageSize
    across: int
    down: int

    @classmethod
    def of(cls, whole: PageSize, window: PageSize) -> "_Cut":
        """Return the fewest windows across and down."""
        counts = (
            max(1, math.ceil((length - OVERLAP_MM) / (side - OVERLAP_MM)))
            for length, side in zip(whole, window, strict=True)
        )
        return cls(window, *counts)

    def corners(self) -> Iterator[tuple[float, float]]:
        """Yield the upper left corner of every window, row by row."""
        for row in range(self.down):
            for column in range(self.across):
                wide, high = self.window.width - OVERLAP_MM, self.window.height - OVERLAP_MM
                yield column * wide, row * high


def draw_sheets(target: Target, template: Template, paper: Paper, of: str) -> PrintedSheets:
    """Return the pages of a template; `of` says whose it is and how many are cut."""
    layout, elements = template_elements(target, template, paper)
    if layout.tile is None:
        sheet = _sheet(layout.page, [_window((0, 0), layout.page, (0, 0), elements)])
        return PrintedSheets(layout.page, (sheet,))
    extent = template_extent(layout.lettering_at, layout.piece_at, template, layout.page)
    upright = PageSize(*PAPERS[paper])
    cuts = [(page, _Cut.of(extent, page.without_margins())) for page in (upright, upright.turned())]
    page, cut = min(cuts, key=lambda each: each[1].across * each[1].down)
    marks = list(_marks(cut))
    sheets = [
        _sheet(
            page,
            [
                _window(corner, cut.window, (MARGIN, MARGIN), [*elements, *marks]),
                *_foot(page, at, cut, of),
            ],
        )
        for at, corner in enumerate(cut.corners(), 1)
    ]
    return PrintedSheets(page, tuple(sheets))


def template_extent(
    lettering_at: tuple[float, float],
    piece_at: tuple[float, float],
    template: Template,
    page: PageSize,
) -> PageSize:
    """Return how far the drawing reaches: to the piece and its dimension lines, within its page."""
    right = max(piece_at[0] + template.width_mm, lettering_at[0] + BAR_MM + 20) + 2
    foot = piece_at[1] + template.height_mm + 9
    return PageSize(min(right, page.width), min(foot, page.height))


def _sheet(page: PageSize, parts: list[Element]) -> str:
    width, height = map(number, page)
    drawn = shape(
        "svg",
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width} {height}",
        width=f"{width}mm",
        height=f"{height}mm",
        role="img",
        aria_label="A sheet of the template, in true size",
    )
    return tostring(drawn, encoding="unicode")


def _window(
    corner: tuple[float, float],
    size: PageSize,
    at: tuple[float, float],
    elements: list[Element],
) -> Element:
    """Return a part of the drawing, cut off at the window's edge."""
    x, y = map(number, corner)
    box = f"{x} {y} {number(size.width)} {number(size.height)}"
    return shape(
        "svg", *elements, viewBox=box, x=at[0], y=at[1], width=size.width, height=size.height
    )


def _marks(cut: _Cut) -> Iterator[Element]:
    """Yield crosses in the overlaps: those of two sheets are laid on each other."""
    half = OVERLAP_MM / 2
    steps = []
    for x, y in cut.corners():
        for dx in (half, cut.window.width - half):
            for dy in (half, cut.window.height - half):
                across, down = number(x + dx), number(y + dy)
                steps.append(f"M{across} {down}m-3 0h6m-3 -3v6")
    yield shape("path", d="".join(dict.fromkeys(steps)), stroke=BRICK, stroke_width=0.25)


def _foot(page: PageSize, at: int, cut: _Cut, of: str) -> Iterator[Element]:
    """Yield the foot of a sheet: its own bar, its number, and what it belongs to."""
    y = page.height - MARGIN + 2
    yield shape(
        "rect", x=MARGIN, y=y, width=BAR_MM, height=2, fill="none", stroke=INK, stroke_width=0.2
    )
    count = cut.across * cut.down
    text = f"100 mm · sheet {at} of {count}, {cut.across} across · glue cross on cross"
    style: dict[str, str | float] = {"font_size": 3.0, "font_family": PLAIN, "fill": INK}
    yield words(MARGIN + BAR_MM + 2, y + 2.2, text, **style)
    yield words(MARGIN, y + 5.6, of[:90], **style)
