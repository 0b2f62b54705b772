"""The page: everything that is shown for what was typed, worked out by one worker in one go.

What it looks like is `service.page.rendering`.
"""

from dataclasses import dataclass, replace
from functools import cache

from models.brief import Brief
from models.errors import FormholdError
from models.ratios import RATIOS
from service.page.answer import ShownAnswer, answer
from service.page.easing import eased
from service.page.examples import EXAMPLES, SAMPLE
from service.page.faults import FieldFault
from service.page.fields import Fields
from service.page.proposal import CHILLED, FLOUR, LEAVENING, THICKNESS, Hero, Proposal, hero_of
from service.page.typed_request import BATCHES, TypedRequest
from service.page.understood import NOTHING_YET, Understood, understand_lines
from solver.search.deadline import SecondsLeft

_WINDOW_FIELDS = tuple(
    f"{name}.{side}" for name in (*RATIOS, "crack_chance_percent") for side in ("min", "max")
)
ANSWERING = frozenset({"answer", "apply"})
_BY_HAND = (THICKNESS, LEAVENING, FLOUR, CHILLED)
_SAMPLE_SECONDS = 20.0


@dataclass(frozen=True)
class Page:
    """What was typed and all that came of it; `notice` is what went wrong beyond the fields.

    `sample` tells that the answer is of our own dough, for nothing was typed yet.
    """

    fields: Fields
    understood: Understood = NOTHING_YET
    faults: tuple[FieldFault, ...] = ()
    answer: ShownAnswer | None = None
    sample: bool = False
    notice: str | None = None

    @property
    def has_window(self) -> bool:
        """Whether any ratio is bounded by hand."""
        bounded = (self.fields.one(name) for name in _WINDOW_FIELDS)
        return any(typed.strip() for typed in bounded)

    @property
    def hero(self) -> Hero | None:
        """The picture of what is proposed."""
        return self.answer.hero if self.answer else None

    def faults_of(self, field: str) -> list[FieldFault]:
        """Return what is wrong with one field."""
        return [fault for fault in self.faults if fault.field == field]


@dataclass(frozen=True)
class MovedPage:
    """The picture alone, after a slider moved; None where nothing can be said of such a dough."""

    fields: Fields
    hero: Hero | None


def fields_of(fields: Fields) -> Fields:
    """Return what an example, a way that was taken, or a button that eases makes of `fields`."""
    example = EXAMPLES.get(fields.one("example"))
    if example is not None:
        return example.fields(fields)
    changes = fields.one("relax")
    if changes:
        return eased(fields, changes).having({"do": ("answer",), **_nothing_moved()})
    if len(fields.all("way")) > 1:  # the one that stands in the form, and the one pressed
        pressed = fields.all("way")[-1:]
        return fields.having({"way": pressed, "do": ("answer",), **_nothing_moved()})
    return fields


def whole_page(fields: Fields, seconds_left: SecondsLeft) -> Page:
    """Return the page; raise RecheckFailed where its answer cannot be trusted."""
    fields = fields_of(fields)
    page, request = _read(fields)
    if fields.one("do") not in ANSWERING:
        return _with_sample(page, seconds_left)
    brief = request.understood(Brief, **request.of_batch())
    if brief is None:
        return replace(page, faults=tuple(request.faults))
    page = replace(page, answer=answer(brief, fields, seconds_left))
    if fields.one("do") == "apply" and page.hero is not None:
        return whole_page(applied(fields, page.hero), seconds_left)
    return page


def applied(fields: Fields, hero: Hero) -> Fields:
    """Return `fields` with the proposal as it stands for the recipe as written."""
    lines = "\n".join(str(line["text"]) for line in hero.lines)
    sheet = hero.after.sheet
    return fields.having(
        {
            "lines": (lines,),
            "thickness": (sheet.measure,),
            "chilled": ("yes",) if sheet.chilled else (),
            "way": ("as_it_is",),
            "do": ("answer",),
            **dict.fromkeys((*BATCHES, "quarter"), ()),
            **_nothing_moved(),
        }
    )


def understood_part(fields: Fields, _: SecondsLeft) -> Page:
    """Return the page as far as the lines are understood."""
    return _read(fields)[0]


def moved_part(fields: Fields, _: SecondsLeft) -> MovedPage:
    """Return the picture of the proposal that stands in the form, as sliders moved it."""
    start = Proposal.read(fields.one("proposal"))
    if not fields.one("lines").strip():
        fields = fields.having({"lines": (SAMPLE,)})
    request = _read(fields)[1]
    brief = request.understood(Brief)
    if brief is None or brief.target is None or start is None:
        return MovedPage(fields, None)
    try:
        return MovedPage(fields, hero_of(brief, start, fields))
    except FormholdError:  # what stands in the form was not written by us
        return MovedPage(fields, None)


def _read(fields: Fields) -> tuple[Page, TypedRequest]:
    understood = understand_lines(fields)
    return Page(fields, understood), TypedRequest(fields, understood)


def _with_sample(page: Page, seconds_left: SecondsLeft) -> Page:
    """Return a page on which nothing is asked yet with the answer for our own dough."""
    if page.fields.one("lines").strip():
        return page
    if set(page.fields.typed) <= {"lang", "embed"}:
        return replace(page, answer=_fresh_answer(), sample=True)
    return replace(page, answer=_sample_answer(page.fields, seconds_left), sample=True)


@cache
def _fresh_answer() -> ShownAnswer | None:
    return _sample_answer(Fields(), lambda: _SAMPLE_SECONDS)


def _sample_answer(fields: Fields, seconds_left: SecondsLeft) -> ShownAnswer | None:
    fields = fields.having({"lines": (SAMPLE,)})
    request = _read(fields)[1]
    brief = request.understood(Brief, **request.of_batch())
    return None if brief is None else answer(brief, fields, seconds_left)


def _nothing_moved() -> dict[str, tuple[str, ...]]:
    return dict.fromkeys(_BY_HAND, ())
