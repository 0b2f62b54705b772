"""The page: everything that is shown for what was typed, worked out by one worker in one go.

What it looks like is `service.page.rendering`.
"""

from dataclasses import dataclass, replace

from models.brief import Brief
from models.ladder import LadderBrief
from models.ratios import RATIOS
from service.page.answer import ShownAnswer, answer
from service.page.easing import eased
from service.page.examples import EXAMPLES
from service.page.faults import FieldFault
from service.page.fields import Fields
from service.page.typed_request import TypedRequest
from service.page.understood import NOTHING_YET, Understood, understand_lines
from service.page.what_if import Tried, try_out
from service.questions.ladders import DrawnLadder, drawn_ladder
from solver.search.deadline import SecondsLeft

_WINDOW_FIELDS = tuple(
    f"{name}.{side}" for name in (*RATIOS, "crack_chance_percent") for side in ("min", "max")
)
ANSWERING = frozenset({"answer", "ladder", "what-if"})


@dataclass(frozen=True)
class Page:
    """What was typed and all that came of it; `notice` is what went wrong beyond the fields."""

    fields: Fields
    understood: Understood = NOTHING_YET
    faults: tuple[FieldFault, ...] = ()
    answer: ShownAnswer | None = None
    ladder: DrawnLadder | None = None
    tried: Tried | None = None
    notice: str | None = None

    @property
    def has_window(self) -> bool:
        """Whether any ratio is bounded by hand."""
        bounded = (self.fields.one(name) for name in _WINDOW_FIELDS)
        return any(typed.strip() for typed in bounded)

    def faults_of(self, field: str) -> list[FieldFault]:
        """Return what is wrong with one field."""
        return [fault for fault in self.faults if fault.field == field]


def fields_of(fields: Fields) -> Fields:
    """Return what an example or a button that eases makes of `fields`."""
    example = EXAMPLES.get(fields.one("example"))
    if example is not None:
        return example.fields(fields)
    changes = fields.one("relax")
    return eased(fields, changes).having({"do": ("answer",)}) if changes else fields


def whole_page(fields: Fields, seconds_left: SecondsLeft) -> Page:
    """Return the page; raise RecheckFailed where its answer cannot be trusted."""
    fields = fields_of(fields)
    page, request = _read(fields)
    if fields.one("do") not in ANSWERING:
        return page
    brief = request.understood(Brief, **request.of_batch())
    if brief is not None:
        page = replace(page, answer=answer(brief, fields, seconds_left))
        if fields.one("do") == "what-if":
            page = replace(page, tried=try_out(request))
        elif fields.one("do") == "ladder":
            page = replace(page, ladder=_ladder(request, seconds_left))
    return replace(page, faults=tuple(request.faults))


def understood_part(fields: Fields, _: SecondsLeft) -> Page:
    """Return the page as far as the lines are understood."""
    return _read(fields)[0]


def what_if_part(fields: Fields, _: SecondsLeft) -> Page:
    """Return the page as far as what was tried by hand."""
    page, request = _read(fields)
    tried = try_out(request)
    return replace(page, tried=tried, faults=tuple(request.faults))


def ladder_part(fields: Fields, seconds_left: SecondsLeft) -> Page:
    """Return the page as far as the ladder."""
    page, request = _read(fields)
    ladder = _ladder(request, seconds_left)
    return replace(page, ladder=ladder, faults=tuple(request.faults))


def _read(fields: Fields) -> tuple[Page, TypedRequest]:
    understood = understand_lines(fields)
    return Page(fields, understood), TypedRequest(fields, understood.ingredients)


def _ladder(request: TypedRequest, seconds_left: SecondsLeft) -> DrawnLadder | None:
    brief = request.understood(LadderBrief, **request.of_batch())
    return None if brief is None else drawn_ladder(brief, seconds_left)
