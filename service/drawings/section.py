"""A form in section with the sheet on it, to scale: rolled, baked, and where its face strains.

One state of a piece, or two side by side (or one above the other, for a narrow screen). What it
shows are estimates of the solver's sheet model, and it says so.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from models.chance import CrackChance
from models.form_words import NAMES, form_words
from service.drawings.column import Column
from service.drawings.course import Course, Scale
from service.drawings.demand_bar import BAR_ROOM, demand_bar
from service.drawings.ink import BOOKISH, PAPER, PLAIN, QUIET_INK, hatchings
from service.drawings.lettering import NO_BREAK, chance_words, percent
from service.drawings.sheet import SheetPicture
from service.drawings.svg import drawing, shape

PANEL, PICTURE, MARGIN = 340.0, 230.0, 22.0
"""Width of a state, height of its picture, and the white between and around them."""

TITLE, HEAD, BODY = 22.0, 17.0, 14.0
"""Sizes of lettering."""


@dataclass(frozen=True)
class SectionState:
    """One state of a piece: what to call it, the sheet's course, and the chance of a crack."""

    label: str
    course: Course
    chance: CrackChance


def draw_section(states: Sequence[SectionState], *, stacked: bool = False) -> str:
    """Return one SVG document of `states` that share a form, all at one scale."""
    scale = Scale.fitting([state.course for state in states], PANEL, PICTURE)
    across = 1 if stacked else len(states)
    page = Column(MARGIN, MARGIN, across * (PANEL + MARGIN) - MARGIN)
    form = states[0].course.target.form
    page.write(NAMES[form.kind], TITLE, BOOKISH)
    page.write(form_words(form), BODY, PLAIN, QUIET_INK)
    for first in range(0, len(states), across):
        page.skip(12)
        _row(page, states[first : first + across], scale, _full_demand(states))
    page.write(_HOW_TO_READ, BODY, PLAIN, QUIET_INK)
    box = (0.0, 0.0, page.width + 2 * MARGIN, page.y + MARGIN)
    paper = shape("rect", width=box[2], height=box[3], fill=PAPER)
    title = f"{NAMES[form.kind]} in section: {form_words(form)}"
    told = " ".join(f"{state.label}: {' '.join(_figures(state))}" for state in states)
    return drawing(box, title, f"{told} {_HOW_TO_READ}", hatchings(), paper, *page.elements)


_HOW_TO_READ = (
    "To scale. Broken line: the sheet as rolled. Whiskers: how much its outer face must stretch. "
    "An estimate; a trial bake decides."
)


def _full_demand(states: Sequence[SectionState]) -> float:
    """Return the strain that fills a bar, so that the bars of all states compare."""
    chances = [state.chance for state in states]
    return 1.05 * max(max(chance.demand.total, chance.crack_strain) for chance in chances)


def _row(page: Column, states: Sequence[SectionState], scale: Scale, full: float) -> None:
    """Set states beside each other, each step of them level."""
    columns = [Column(page.x + i * (PANEL + MARGIN), page.y, PANEL) for i in range(len(states))]
    steps: list[Callable[[SectionState, Column], None]] = [
        lambda state, column: column.write(state.label, HEAD, BOOKISH),
        lambda state, column: _picture(state, column, scale),
        lambda state, column: _write_figures(state, column),
        lambda state, column: column.place(
            demand_bar(state.chance, (column.x, column.y), PANEL, full), BAR_ROOM
        ),
    ]
    for step in steps:
        for state, column in zip(states, columns, strict=True):
            step(state, column)
        page.y = max(column.y for column in columns)
        for column in columns:
            column.y = page.y
    page.elements += [element for column in columns for element in column.elements]


def _picture(state: SectionState, column: Column, scale: Scale) -> None:
    middle, ground = column.x + PANEL / 2, column.y + PICTURE - 2
    picture = SheetPicture(state.course, scale, middle, PANEL, ground)
    column.place(picture.draw(), PICTURE + 8)


def _write_figures(state: SectionState, column: Column) -> None:
    for line in _figures(state):
        column.write(line, BODY)


def _figures(state: SectionState) -> list[str]:
    course, chance = state.course, state.chance
    baked = course.profile.thickness_after_mm
    first, most = float(baked[0]), float(baked.max())
    thicker = f" ({_thick(most)} at its thickest)" if most > first * _NOTABLY else ""
    return [
        f"Chance of a crack {chance_words(chance.percent)} ({chance.low_percent:.0f} to "
        f"{chance.high_percent:.0f}{NO_BREAK}%).",
        f"At the {course.surface.first} {course.target.thickness_mm:.2f} mm rolled, "
        f"{_thick(first)} baked{thicker}.",
        f"The outer face stretches by {percent(max(0.0, chance.demand.total))}.",
    ]


def _thick(thickness_mm: float) -> str:
    return f"{thickness_mm:.2f}{NO_BREAK}mm" if thickness_mm < 100 else f">99{NO_BREAK}mm"


_NOTABLY = 1.01  # thinned by more than a hundredth
