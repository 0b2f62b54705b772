"""A template drawn to cut round: true to size when printed at 100 %, with a bar to check it by.

Where it lies on the paper is `service.drawings.pages`; the piece itself is `models.template`.
"""

import math
from collections.abc import Iterator
from typing import assert_never
from xml.etree.ElementTree import Element

from models.form_words import NAMES, form_words
from models.outline import Arc, Guide, Line, Outline, Size
from models.target import Target
from models.template import Template
from service.drawings.caption import SMALL, Caption
from service.drawings.ink import BRICK, INK
from service.drawings.lettering import NO_BREAK, millimetres, thickness_marks
from service.drawings.pages import Layout, PageSize, Paper, lay_out
from service.drawings.rulers import ruler, sheet_grid, upright_words
from service.drawings.svg import drawing, number, path, shape

_FLATTEST_SAG_MM = 0.01  # an arc that sags less is drawn straight: no renderer holds its radius


def draw_template(target: Target, template: Template, paper: Paper = "a4") -> str:
    """Return the drawing of a piece as an SVG page, true to size."""
    size = PageSize(template.width_mm, template.height_mm)
    room = _room_inside(template.outline)
    title, sentences = NAMES[target.form.kind], _sentences(target, template)
    caption = Caption.of(title, sentences, _ONE_SHEET)
    layout = lay_out(size, room, caption.size, paper)
    if layout.tile:
        caption = caption._replace(advice=_many_sheets(layout, paper))
    width, height = layout.page
    return drawing(
        (0, 0, width, height),
        f"Template. {title}",
        " ".join([*sentences, caption.advice]),
        _print_rule(layout.page),
        *sheet_grid(layout),
        *_piece(template, layout),
        *caption.draw(*layout.lettering_at),
        width=f"{number(width)}mm",
        height=f"{number(height)}mm",
    )


def template_elements(
    target: Target, template: Template, paper: Paper
) -> tuple[Layout, list[Element]]:
    """Return where a piece lies and what is drawn, without the grid of its sheets."""
    size = PageSize(template.width_mm, template.height_mm)
    title, sentences = NAMES[target.form.kind], _sentences(target, template)
    caption = Caption.of(title, sentences, _ONE_SHEET)
    layout = lay_out(size, _room_inside(template.outline), caption.size, paper)
    return layout, [*_piece(template, layout), *caption.draw(*layout.lettering_at)]


def size_words(size: Size) -> tuple[str, str]:
    """Return what a size is of, and how it is read off: round the form, 108.3 mm (4 1/4 in)."""
    return size.name, millimetres(size.value) if size.unit == "mm" else f"{size.value:.4g}°"


_ONE_SHEET = "Print at 100 %; then the bar measures 100 mm."


def _many_sheets(layout: Layout, paper: Paper) -> str:
    across, down = layout.sheets
    return (
        f"Larger than {_PAPER_NAMES[paper]}: print at 100 % on {across * down:,} sheets, {across} "
        f"across and {down} down."
    )


_PAPER_NAMES: dict[Paper, str] = {"a4": "A4", "letter": "Letter"}


def _sentences(target: Target, template: Template) -> list[str]:
    sizes = "; ".join(" ".join(size_words(size)).replace(" ", NO_BREAK) for size in template.sizes)
    grams, thick = template.dough_grams_per_piece, thickness_marks(target.thickness_mm)
    return [
        f"For a form of {form_words(target.form)}.",
        f"Cut to: {sizes}.",
        f"Roll to {thick}; a piece takes {grams:.3g}{NO_BREAK}g of dough.",
    ]


def _print_rule(page: PageSize) -> Element:
    """Tell printers the page, so that nothing is scaled to fit."""
    style = shape("style")
    width, height = map(number, page)
    style.text = f"@page{{size:{width}mm {height}mm;margin:0}}"
    return style


def _room_inside(outline: Outline) -> PageSize:
    """Return what fits within the outline for sure; a piece of a ring may be hollow anywhere."""
    kinds = [cut.kind for cut in outline.cuts]
    if "arc" not in kinds:
        return PageSize(outline.width_mm - 10, outline.height_mm - 10)
    if "line" not in kinds:
        side = outline.width_mm / math.sqrt(2)
        return PageSize(side, side)
    return PageSize(0, 0)


def _piece(template: Template, layout: Layout) -> Iterator[Element]:
    x, y = layout.piece_at
    edge = path_of(template.outline, x, y)
    yield shape("path", d=edge, fill="none", stroke=INK, stroke_width=0.4, stroke_linejoin="round")
    for guide in template.guides:
        yield _dashes(guide, x, y)
    yield from _guide_name(template, x, y)
    if layout.ruled:
        right, foot = x + template.width_mm, y + template.height_mm
        yield from ruler((x, foot + 4.5), (right, foot + 4.5), millimetres(template.width_mm))
        yield from ruler((x - 4.5, foot), (x - 4.5, y), millimetres(template.height_mm))


def path_of(outline: Outline, dx: float = 0, dy: float = 0) -> str:
    """Return the outline, moved by dx and dy, as the path of a knife."""
    here = outline.start
    steps = [f"M{number(here.x_mm + dx)} {number(here.y_mm + dy)}"]
    for cut in outline.cuts:
        chord = math.hypot(cut.to.x_mm - here.x_mm, cut.to.y_mm - here.y_mm)
        steps.append(f"{_step(cut, chord)}{number(cut.to.x_mm + dx)} {number(cut.to.y_mm + dy)}")
        here = cut.to
    return " ".join([*steps, "Z"])


def _step(cut: Line | Arc, chord: float) -> str:
    match cut:
        case Line():
            return "L"
        case Arc():
            if not cut.over_half and chord**2 / (8 * cut.radius_mm) < _FLATTEST_SAG_MM:
                return "L"
            radius = number(cut.radius_mm)
            return f"A{radius} {radius} 0 {cut.over_half:d} {cut.clockwise:d} "
        case _:
            assert_never(cut)


def _dashes(guide: Guide, dx: float, dy: float) -> Element:
    line = path((end.x_mm + dx, end.y_mm + dy) for end in (guide.start, guide.end))
    return shape("path", d=line, stroke=BRICK, stroke_width=0.25, stroke_dasharray="4 1.5 0.8 1.5")


def _guide_name(template: Template, dx: float, dy: float) -> Iterator[Element]:
    """Write the name of the first guide along it, where there is room beside it."""
    for guide in template.guides[:1]:
        x, top, foot = guide.start.x_mm, guide.start.y_mm, guide.end.y_mm
        if x > SMALL + 2 and foot - top > 10 * SMALL:
            yield upright_words(x + dx - 1.2, (top + 3 * foot) / 4 + dy, guide.name, BRICK)
