"""A bake sheet drawn to print: two doughs side by side, what is held equal, and boxes to tick.

What is on it is `models.bake_sheet`; the lettering and the pages are those of templates.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

import segno

from models.bake_sheet import BakeSheet, TestBatch
from service.drawings.ink import BOOKISH, INK, PLAIN, QUIET_INK, RULE
from service.drawings.lettering import chance_words, wrapped
from service.drawings.pages import MARGIN, PAPERS, Paper
from service.drawings.svg import drawing, number, path, shape, words

TITLE, HEADING, BODY, SMALL = 5.6, 3.9, 3.2, 2.7
_LINE = 1.35
_BOX = 3.2
_CODE_MM = 26.0
MOST_LINES = 18
"""More lines than that leave no room to tick; those that differ come first."""


class _Pen:
    """Where the next line goes, and all that was drawn so far."""

    def __init__(self, left: float, top: float, width: float) -> None:
        self.left, self.y, self.width = left, top, width
        self.drawn: list[Element] = []

    def say(self, text: str, size: float = BODY, **style: str | float) -> None:
        """Write a sentence, broken to the width."""
        for line in wrapped(text, size, self.width):
            self.y += size * _LINE
            given: dict[str, str | float | None] = {"font_family": PLAIN, "fill": INK, **style}
            self.drawn.append(words(self.left, self.y, line, font_size=size, **given))

    def rest(self, room: float) -> None:
        """Leave some room."""
        self.y += room


class _Column(NamedTuple):
    """One dough's place on the page."""

    name: str
    batch: TestBatch
    left: float
    width: float


def draw_bake_sheet(sheet: BakeSheet, paper: Paper = "a4") -> str:
    """Return the sheet as an SVG page."""
    width, height = PAPERS[paper]
    inner = width - 2 * MARGIN
    pen = _Pen(MARGIN, MARGIN - 2, inner - (_CODE_MM + 4 if sheet.log_address else 0))
    pen.say(sheet.title, TITLE, font_family=BOOKISH)
    for note in sheet.notes:
        pen.say(note, SMALL, fill=QUIET_INK)
    pen.rest(2)
    elements = [*pen.drawn, *_code(sheet, width - MARGIN - _CODE_MM)]
    y = max(pen.y, MARGIN + _CODE_MM + 5 if sheet.log_address else 0)
    y = max(_dough(column, y, elements) for column in _columns(sheet, inner))
    y = _equal(sheet, y + 3, inner, elements)
    for column in _columns(sheet, inner):
        _boxes(sheet, column, y + 3, elements)
    style = shape("style")
    style.text = f"@page{{size:{number(width)}mm {number(height)}mm;margin:0}}"
    return drawing(
        (0, 0, width, height),
        f"Bake sheet. {sheet.title}",
        " ".join([*sheet.held_equal, *sheet.differs, sheet.flat_round]),
        style,
        shape("rect", x=0, y=0, width=width, height=height, fill="white"),
        *elements,
        width=f"{number(width)}mm",
        height=f"{number(height)}mm",
    )


def _columns(sheet: BakeSheet, inner: float) -> Iterator[_Column]:
    half = (inner - 6) / 2
    yield _Column("As written", sheet.control, MARGIN, half)
    if sheet.variant:
        yield _Column("To try", sheet.variant, MARGIN + half + 6, half)


def _dough(column: _Column, top: float, elements: list[Element]) -> float:
    """Draw one dough's amounts and sheet; return where they end."""
    batch = column.batch
    pen = _Pen(column.left, top, column.width)
    pen.say(column.name, HEADING, font_family=BOOKISH)
    cold = ", chilled" if batch.target.chilled else ""
    pen.say(f"Rolled to {batch.thickness}{cold}; {batch.dough_grams:.0f} g of dough.")
    if batch.chance_percent:
        said = chance_words(batch.chance_percent.value)
        pen.say(f"Expected to crack: {said} of pieces, by estimate.", SMALL, fill=QUIET_INK)
    pen.rest(1)
    lines = sorted(batch.lines, key=lambda line: not line.differs)
    shown = lines[:MOST_LINES] if len(lines) > MOST_LINES else batch.lines
    for line in shown:
        mark = "→ " if line.differs else ""
        grams = "" if line.measure.endswith(" g") else f" ({line.grams:.3g} g)"
        pieces = line.role == "egg" and not line.measure.endswith(" g")
        what = line.measure if pieces else f"{line.measure} {line.ingredient}"
        weight = "bold" if line.differs else "normal"
        pen.say(f"{mark}{what}{grams}", font_weight=weight)
    if len(lines) > len(shown):
        pen.say(f"and {len(lines) - len(shown)} more lines as in the recipe.", SMALL)
    elements += pen.drawn
    return pen.y


def _equal(sheet: BakeSheet, top: float, inner: float, elements: list[Element]) -> float:
    elements.append(
        shape("path", d=path([(MARGIN, top), (MARGIN + inner, top)]), stroke=RULE, stroke_width=0.3)
    )
    pen = _Pen(MARGIN, top, inner)
    pen.say("Hold equal", HEADING, font_family=BOOKISH)
    for sentence in (*sheet.held_equal, sheet.flat_round):
        pen.say(f"☐ {sentence}", SMALL)
    elements += pen.drawn
    return pen.y


def _boxes(sheet: BakeSheet, column: _Column, top: float, elements: list[Element]) -> None:
    """Draw the boxes of one tray: a row a piece, then handling, texture and the round."""
    pen = _Pen(column.left, top, column.width)
    pen.say(f"{column.name}: what became of it", HEADING, font_family=BOOKISH)
    grades = sheet.scales.crack_grades
    pen.say("; ".join(f"{at} {word}" for at, word in enumerate(grades)), SMALL)
    pen.rest(1)
    for piece in range(1, sheet.pieces + 1):
        labels = [*(str(at) for at in range(len(grades))), "slid"]
        _row(pen, f"Piece {piece}", labels)
    for name, scale in (("Handling", sheet.scales.handling), ("Texture", sheet.scales.texture)):
        pen.rest(1)
        pen.say("; ".join(f"{at} {word}" for at, word in enumerate(scale)), SMALL)
        _row(pen, name, [str(at) for at in range(len(scale))])
    pen.rest(2)
    pen.say("Round: cut _______ mm, cold _______ mm", BODY)
    elements += pen.drawn


def _row(pen: _Pen, name: str, labels: Sequence[str]) -> None:
    pen.y += BODY * _LINE + 0.6
    given: dict[str, str | float | None] = {"font_family": PLAIN, "fill": INK}
    pen.drawn.append(words(pen.left, pen.y, name, font_size=BODY, **given))
    x = pen.left + 18
    for label in labels:
        box = {"x": x, "y": pen.y - _BOX + 0.5, "width": _BOX, "height": _BOX}
        pen.drawn.append(shape("rect", **box, fill="none", stroke=INK, stroke_width=0.25))
        pen.drawn.append(words(x + _BOX + 0.8, pen.y, label, font_size=SMALL, **given))
        x += 11.5


def _code(sheet: BakeSheet, left: float) -> Iterator[Element]:
    """Yield the code of the address that takes the outcome."""
    if sheet.log_address is None:
        return
    code = segno.make(sheet.log_address, error="m", micro=False)
    rows = [list(row) for row in code.matrix]
    side = _CODE_MM / (len(rows) + 8)  # four modules of white round it, as the standard asks
    steps = [
        f"M{number(left + (x + 4) * side)} {number(MARGIN + (y + 4) * side)}"
        f"h{number(side)}v{number(side)}h-{number(side)}z"
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    ]
    yield shape("path", d="".join(steps), fill="black")
    yield words(
        left + _CODE_MM / 2,
        MARGIN + _CODE_MM + 2,
        "Log it here",
        font_size=SMALL,
        font_family=PLAIN,
        fill=INK,
        text_anchor="middle",
    )
