"""The ladder as a chart: each rung by what it costs in texture and how likely a crack stays.

Rungs are numbered in the order they come in. Their words stand below: beside their marks, twenty
of them would not fit a telephone. What the rungs are is the solver's business.
"""

from collections.abc import Sequence

from service.drawings.column import Column
from service.drawings.ink import BOOKISH, PAPER, PLAIN, QUIET_INK
from service.drawings.ladder_plot import PLOT_ROOM, FrontMark, RungMark, draw_plot
from service.drawings.lettering import NO_BREAK, chance_words
from service.drawings.svg import drawing, shape

WIDTH, MARGIN = 400.0, 20.0
"""Of the drawing, and of the white round it."""

TITLE, BODY, SMALL = 22.0, 14.0, 12.5
"""Sizes of lettering."""

_NUMBER = 26.0  # width of the column of numbers


def draw_ladder(
    rungs: Sequence[RungMark], front: Sequence[FrontMark] = (), *, limit_percent: float = 20.0
) -> str:
    """Return the chart of `rungs`, and of the front that the program worked out, as SVG."""
    page = Column(MARGIN, MARGIN, WIDTH - 2 * MARGIN)
    page.write(_TITLE, TITLE, BOOKISH)
    plot = draw_plot(rungs, front, (page.x, page.y), page.width, limit_percent)
    page.place(plot, PLOT_ROOM)
    how_to_read = _how_to_read(rungs, front)
    page.write(how_to_read, SMALL, PLAIN, QUIET_INK)
    for position, rung in enumerate(rungs, 1):
        _write_rung(page, position, rung)
    height = page.y + MARGIN
    paper = shape("rect", width=WIDTH, height=height, fill=PAPER)
    told = " ".join(f"{i}: {rung.label}; {_figures(rung)}." for i, rung in enumerate(rungs, 1))
    box = (0.0, 0.0, WIDTH, height)
    return drawing(box, _TITLE, f"{told} {how_to_read}", paper, *page.elements)


_TITLE = "The ladder of changes"


def _how_to_read(rungs: Sequence[RungMark], front: Sequence[FrontMark]) -> str:
    sentences = (
        (rungs, "Upright bars hold four kitchens in five."),
        (front, "Stairs: the least harm for each chance, over all sheets and doughs."),
        ([True], "An estimate; a trial bake decides."),
    )
    return " ".join(sentence for shown, sentence in sentences if shown)


def _write_rung(page: Column, position: int, rung: RungMark) -> None:
    page.skip(7)
    number = Column(page.x, page.y, _NUMBER)
    number.write(f"{position}", BODY, BOOKISH)
    words = Column(page.x + _NUMBER, page.y, page.width - _NUMBER)
    words.write(rung.label, BODY)
    words.write(_figures(rung), SMALL, PLAIN, QUIET_INK)
    page.elements += number.elements + words.elements
    page.y = words.y


def _figures(rung: RungMark) -> str:
    return (
        f"{chance_words(rung.chance_percent)} ({rung.low_percent:.0f} to "
        f"{rung.high_percent:.0f}{NO_BREAK}%), cost {rung.texture_cost:.2f}"
    )
