"""Layout: words and columns on a terminal. What stands in them is for others."""

import textwrap
from collections.abc import Iterable, Sequence

WIDTH = 100


def plain(text: str) -> str:
    """Return `text` as it may be shown: a recipe may hold characters that steer a terminal."""
    return "".join(c if c.isprintable() else " " for c in text)


def columns(
    headings: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[int] = ()
) -> list[str]:
    """Return a table as lines; the columns at `right` are set to the right."""
    cells = [list(headings), *([plain(cell) for cell in row] for row in rows)]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    to_right = set(right)

    def line(row: list[str]) -> str:
        set_cells = (
            cell.rjust(width) if i in to_right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        return "  ".join(set_cells).rstrip()

    rule = "  ".join("-" * width for width in widths)
    return [line(cells[0]), rule, *map(line, cells[1:])]


def points(heading: str, items: Iterable[str]) -> list[str]:
    """Return a heading with one wrapped item after another; nothing for no items."""
    lines = [
        line
        for item in items
        for line in textwrap.wrap(
            plain(item), WIDTH, initial_indent="  - ", subsequent_indent="    "
        )
    ]
    return ["", heading, *lines] if lines else []
