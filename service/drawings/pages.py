"""Pages: where a piece lies on the paper that it is printed on, and how many sheets it takes.

Everything is in millimetres of the printed page.
"""

import math
from typing import Literal, NamedTuple

Paper = Literal["a4", "letter"]

PAPERS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height: ISO 216, and 8 1/2 by 11 in."""

MARGIN = 10.0
"""What common printers leave white at the edge. Common practice, no source."""

GAP = 5.0

RULERS = 9.0
"""Room for the dimension lines, to the left of a piece and below it."""


class PageSize(NamedTuple):
    """Width and height."""

    width: float
    height: float

    def holds(self, other: "PageSize") -> bool:
        """Tell whether `other` fits within."""
        return other.width <= self.width and other.height <= self.height

    def turned(self) -> "PageSize":
        """Return this size on its side."""
        return PageSize(self.height, self.width)

    def without_margins(self) -> "PageSize":
        """Return what a printer can reach."""
        return PageSize(self.width - 2 * MARGIN, self.height - 2 * MARGIN)


class Layout(NamedTuple):
    """Where the upper left corners of the piece and its lettering lie on a page.

    Over several sheets, `tile` is what one of them shows and `page` all of them side by side;
    `ruled` says whether there is room for dimension lines.
    """

    page: PageSize
    piece_at: tuple[float, float]
    lettering_at: tuple[float, float]
    tile: PageSize | None = None
    ruled: bool = True

    @property
    def sheets(self) -> tuple[int, int]:
        """How many sheets it takes across and down."""
        tile = self.tile or self.page
        return round(self.page.width / tile.width), round(self.page.height / tile.height)


def lay_out(piece: PageSize, room_inside: PageSize, lettering: PageSize, paper: Paper) -> Layout:
    """Return where a piece lies: under its lettering, around it, or across several sheets.

    `room_inside` is what the piece has room for within its own outline.
    """
    upright = PageSize(*PAPERS[paper])
    for page in (upright, upright.turned()):
        if page.without_margins().holds(_stacked(piece, lettering)):
            return _under_lettering(piece, lettering, page)
    for page in (upright, upright.turned()):
        if page.without_margins().holds(piece) and room_inside.holds(lettering):
            return _around_lettering(piece, lettering, page)
    inside = room_inside.holds(lettering)
    tiles = (upright.without_margins(), upright.turned().without_margins())
    return min(
        (
            _around_lettering_across(piece, room_inside, tile)
            if inside
            else _across_sheets(piece, lettering, tile)
            for tile in tiles
        ),
        key=lambda layout: math.prod(layout.sheets),
    )


def _stacked(piece: PageSize, lettering: PageSize) -> PageSize:
    height = lettering.height + GAP + piece.height + RULERS
    return PageSize(max(piece.width + RULERS, lettering.width), height)


def _under_lettering(piece: PageSize, lettering: PageSize, page: PageSize) -> Layout:
    spare = page.without_margins().height - _stacked(piece, lettering).height
    top = MARGIN + lettering.height + GAP + spare / 3
    left = max(MARGIN + RULERS, (page.width - piece.width) / 2)
    return Layout(page, (left, top), (MARGIN, MARGIN))


def _around_lettering(piece: PageSize, lettering: PageSize, page: PageSize) -> Layout:
    piece_at, lettering_at = (
        ((page.width - size.width) / 2, (page.height - size.height) / 2)
        for size in (piece, lettering)
    )
    return Layout(page, piece_at, lettering_at, ruled=False)


def _across_sheets(piece: PageSize, lettering: PageSize, tile: PageSize) -> Layout:
    page = _tiled(_stacked(piece, lettering), tile)
    return Layout(page, (RULERS, lettering.height + GAP), (0.0, 0.0), tile)


def _around_lettering_across(piece: PageSize, room_inside: PageSize, tile: PageSize) -> Layout:
    page = _tiled(PageSize(piece.width + RULERS, piece.height + RULERS), tile)
    aside, down = ((whole - inner) / 2 for whole, inner in zip(piece, room_inside, strict=True))
    return Layout(page, (RULERS, 0.5), (RULERS + aside, down), tile)


def _tiled(whole: PageSize, tile: PageSize) -> PageSize:
    across, down = math.ceil(whole.width / tile.width), math.ceil(whole.height / tile.height)
    return PageSize(across * tile.width, down * tile.height)
