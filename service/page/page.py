"""The page: everything that is shown for what was typed, worked out by one worker in one go.

What it looks like is `service.page.rendering`.
"""

from dataclasses import dataclass, replace
from functools import cache

from models.brief import Brief
from models.errors import BadInput, FormholdError
from models.ratios import RATIOS
from service.page.answer import ShownAnswer, answer
from service.page.easing import eased
from service.page.examples import EXAMPLES, SAMPLE
from service.page.faults import FieldFault, beside_fields
from service.page.fields import Fields
from service.page.languages import language_of
from service.page.proposal import CHILLED, FLOUR, LEAVENING, THICKNESS, Hero, Proposal, hero_of
from service.page.typed_request import BATCHES, TypedRequest
from service.page.understood import NOTHING_YET, Understood, understand_lines
from service.questions.knowing import Knowing, knows_no_kitchen
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

    `sample` tells that the answer is of our own dough, for nothing was typed yet. `kitchens` are
    the visitor's, by identity and name. `undo` is the address of the page before a button changed
    it. `origin` is where the service is reached.
    """

    fields: Fields
    understood: Understood = NOTHING_YET
    faults: tuple[FieldFault, ...] = ()
    answer: ShownAnswer | None = None
    sample: bool = False
    notice: str | None = None
    kitchens: tuple[tuple[str, str], ...] = ()
    undo: str | None = None
    origin: str = ""

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


def whole_page(
    typed: Fields, seconds_left: SecondsLeft, knowing: Knowing = knows_no_kitchen
) -> Page:
    """Return the page; raise RecheckFailed where its answer cannot be trusted."""
    page = _answered(fields_of(typed), seconds_left, knowing)
    return replace(page, undo=before(typed, page.fields))


def _answered(fields: Fields, seconds_left: SecondsLeft, knowing: Knowing) -> Page:
    page, request = read_typed(fields, knowing)
    if fields.one("do") not in ANSWERING:
        return _with_sample(page, seconds_left)
    brief = request.understood(Brief, **request.of_batch())
    if brief is None:
        return replace(page, faults=tuple(request.faults))
    try:
        page = replace(page, answer=answer(brief, fields, seconds_left))
    except BadInput as bad:
        if _of_chance(bad) and fields.unlimited() != fields:
            return replace(_answered(fields.unlimited(), seconds_left, knowing), fields=fields)
        faults = beside_fields(bad.faults, request.kind, request.line_numbers)
        return replace(page, faults=tuple(faults))
    if fields.one("do") == "apply" and page.hero is not None:
        return _answered(applied(fields, page.hero), seconds_left, knowing)
    return page


def _of_chance(bad: BadInput) -> bool:
    """Tell whether a limit on the chance is all that is wrong: where no chance is known, the dough
    is answered without it, and the page says so."""
    return all(fault.pointer == "/window/crack_chance_percent" for fault in bad.faults)


def before(typed: Fields, shown: Fields) -> str | None:
    """Return the address of the page on which a button was pressed that changed what was typed;
    None where none was, or where it was the first that was asked."""
    pressed = typed.one("do") == "apply" or typed.one("relax") or len(typed.all("way")) > 1
    if not pressed or not typed.one("lines").strip():
        return None
    ways = typed.all("way")[: 1 if len(typed.all("way")) > 1 else None]
    address = typed.having({"way": tuple(way for way in ways if way)}).shared()
    return address if address != shown.shared() else None


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


def understood_part(fields: Fields, _: SecondsLeft, __: Knowing) -> Page:
    """Return the page as far as the lines are understood."""
    return read_typed(fields)[0]


def moved_part(fields: Fields, _: SecondsLeft, knowing: Knowing) -> MovedPage:
    """Return the picture of the proposal that stands in the form, as sliders moved it."""
    start = Proposal.read(fields.one("proposal"))
    if not fields.one("lines").strip():
        fields = fields.having({"lines": (SAMPLE,)})
    request = read_typed(fields, knowing)[1]
    brief = request.understood(Brief)
    if brief is None or brief.target is None or start is None:
        return MovedPage(fields, None)
    try:
        return MovedPage(fields, hero_of(brief, start, fields))
    except FormholdError:  # what stands in the form was not written by us
        return MovedPage(fields, None)


def read_typed(fields: Fields, knowing: Knowing = knows_no_kitchen) -> tuple[Page, TypedRequest]:
    """Return the page as far as it is read, and the request that was typed."""
    understood = understand_lines(fields)
    return Page(fields, understood), TypedRequest(fields, understood, knowing)


def _with_sample(page: Page, seconds_left: SecondsLeft) -> Page:
    """Return a page on which nothing is asked yet with the answer for our own dough."""
    if page.fields.one("lines").strip():
        return page
    if set(page.fields.typed) <= {"lang", "embed"}:
        language = language_of(page.fields.one("lang"))
        return replace(page, answer=_fresh_answer(language), sample=True)
    return replace(page, answer=_sample_answer(page.fields, seconds_left), sample=True)


@cache
def _fresh_answer(language: str) -> ShownAnswer | None:
    return _sample_answer(Fields({"lang": (language,)}), lambda: _SAMPLE_SECONDS)


def _sample_answer(fields: Fields, seconds_left: SecondsLeft) -> ShownAnswer | None:
    fields = fields.having({"lines": (SAMPLE,)})
    request = read_typed(fields)[1]
    brief = request.understood(Brief, **request.of_batch())
    try:
        return None if brief is None else answer(brief, fields, seconds_left)
    except BadInput:  # the form that is being typed in is none yet
        return None


def _nothing_moved() -> dict[str, tuple[str, ...]]:
    return dict.fromkeys(_BY_HAND, ())
