"""Questions: what may be asked of the service, and who answers.

A question takes bytes and gives bytes, so that HTTP and the command line answer the same to the
byte.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, Literal

from models.bake_sheet import BakeSheet
from models.brief import Brief, RecipeToWeigh
from models.ladder import LadderBrief
from models.learning import InKitchen
from models.outcome import Outcome
from models.value import Value
from models.weighing import Weighing
from models.what_if import Judgement, WhatIf
from service.questions.bake_sheets import BakeSheetRequest, planned_bake
from service.questions.knowing import Knowing, knows_no_kitchen
from service.questions.ladders import DrawnLadder, drawn_ladder
from service.questions.sections import DrawnSection, SectionRequest, drawn_section
from service.questions.templates import DrawnTemplate, TemplateRequest, drawn_template
from service.reading.recipe_text import RecipeReading, RecipeText, read_recipe
from service.reading.strict_json import Asked, understand
from solver.reformulate import reformulate
from solver.search.deadline import SecondsLeft
from solver.what_if import judge


@dataclass(frozen=True)
class Question(Generic[Asked]):
    """One kind of question: its address, what is asked, what is answered and how.

    `operation_id`, `summary`, `description` and `tag` are what the OpenAPI document says of it.
    `picture` takes the SVG out of an answer that has one.
    """

    path: str
    operation_id: str
    summary: str
    description: str
    tag: Literal["doughs", "forms"]
    asked: type[Asked]
    answered: type[Value]
    answer: Callable[[Asked, SecondsLeft], Value]
    picture: Callable[[Any], str] | None = None

    def respond(
        self,
        body: bytes,
        seconds_left: SecondsLeft,
        knowing: Knowing = knows_no_kitchen,
        noting: Callable[[Value], None] = lambda _: None,
    ) -> bytes:
        """Return the answer to `body`, as JSON; `knowing` tells what a kitchen has learned.

        `noting` is told the answer itself.

        Raises BadInput or Refused where it cannot be understood, RecheckFailed where the answer
        cannot be trusted.
        """
        answer = self.answer(self._understood(body, knowing), seconds_left)
        noting(answer)
        return answer.model_dump_json(by_alias=True).encode()

    def draw(
        self,
        body: bytes,
        seconds_left: SecondsLeft,
        knowing: Knowing = knows_no_kitchen,
        noting: Callable[[Value], None] = lambda _: None,
    ) -> bytes:
        """Return the picture of the answer to `body`, as SVG; raise as `respond` does."""
        assert self.picture is not None, "only an answer with a picture is drawn"
        answer = self.answer(self._understood(body, knowing), seconds_left)
        noting(answer)
        return self.picture(answer).encode()

    def _understood(self, body: bytes, knowing: Knowing) -> Asked:
        asked = understand(body, self.asked)
        if isinstance(asked, InKitchen) and asked.kitchen is not None:
            return asked.taught_by(knowing(asked.kitchen))
        return asked


RATIOS = Question(
    path="/v1/ratios",
    operation_id="weigh",
    summary="Weigh a recipe",
    description="Answer a recipe line by line in grams and baker's percentages, with its seven "
    "ratios, the allergens it brings and the cautions it calls for. Nothing is changed; without "
    "flour the ratios are null.",
    tag="doughs",
    asked=RecipeToWeigh,
    answered=Weighing,
    answer=lambda asked, _: Weighing.of(asked),
)
REFORMULATION = Question(
    path="/v1/reformulations",
    operation_id="reformulate",
    summary="Reformulate a recipe",
    description="Answer the smallest changes, in amounts that can be scooped or weighed, that "
    "bring a recipe's ratios into the window within the caller's limits; proved least, with the "
    "reason for every moved line. Where no change will do, the answer names limits that cannot "
    "hold together and what would work instead: that too is a 200.",
    tag="doughs",
    asked=Brief,
    answered=Outcome,
    answer=reformulate,
)
WHAT_IF = Question(
    path="/v1/what-if",
    operation_id="judgeEdits",
    summary="Judge edits to a recipe",
    description="Answer what edits do to a recipe's ratios, which bounds hold then, and the edited "
    "recipe. Nothing is optimised.",
    tag="doughs",
    asked=WhatIf,
    answered=Judgement,
    answer=lambda asked, _: judge(asked),
)
READING = Question(
    path="/v1/readings",
    operation_id="readText",
    summary="Read plain text",
    description="Answer a recipe read from plain text, one ingredient a line, and every line that "
    "could not be read with what to do about it. Blank lines are skipped; nothing else is dropped "
    "in silence.",
    tag="doughs",
    asked=RecipeText,
    answered=RecipeReading,
    answer=lambda asked, _: read_recipe(asked),
)
TEMPLATE = Question(
    path="/v1/templates",
    operation_id="drawTemplate",
    summary="Draw a template",
    description="Answer the flat piece to cut for a form at a thickness: its outline, its area, "
    "the dough it takes, the dough for all pieces with what trimming leaves over, and its drawing "
    "as SVG in true size. Asked with `Accept: image/svg+xml`, the answer is the drawing alone.",
    tag="forms",
    asked=TemplateRequest,
    answered=DrawnTemplate,
    answer=lambda asked, _: drawn_template(asked),
    picture=lambda drawn: drawn.svg,
)
SECTION = Question(
    path="/v1/sections",
    operation_id="drawSection",
    summary="Draw a section",
    description="Answer one or two states of a piece on its form, each with its estimated chance "
    "of a crack, and a drawing to scale of the sheet rolled and baked and of where its outer face "
    "strains. Asked with `Accept: image/svg+xml`, the answer is the drawing alone.",
    tag="forms",
    asked=SectionRequest,
    answered=DrawnSection,
    answer=lambda asked, _: drawn_section(asked),
    picture=lambda drawn: drawn.svg,
)
LADDER = Question(
    path="/v1/ladders",
    operation_id="climbLadder",
    summary="Climb the ladder",
    description="Answer the trade's ways to make a dough hold on a form (thinner, chilled, less "
    "leavening, a little flour, combinations, another fat), each as a whole recipe with its "
    "estimated chance of a crack, and the least harm for each chance. Asked with `Accept: "
    "image/svg+xml`, the answer is the chart alone. `complete` is false where the deadline struck "
    "first.",
    tag="forms",
    asked=LadderBrief,
    answered=DrawnLadder,
    answer=drawn_ladder,
    picture=lambda drawn: drawn.svg,
)

BAKE_SHEET = Question(
    path="/v1/bake-sheets",
    operation_id="planBake",
    summary="Plan a bake",
    description="Answer a fair comparison to bake: the recipe as written and one variant side by "
    "side in a small batch that can be measured, what must be held equal, what differs, a flat "
    "round on every tray, and the scales by which the outcome is told. Without a `variant` it is "
    "the smallest change that the brief asks for. Asked with `Accept: image/svg+xml`, the answer "
    "is the page to print alone.",
    tag="forms",
    asked=BakeSheetRequest,
    answered=BakeSheet,
    answer=planned_bake,
    picture=lambda planned: planned.svg,
)

QUESTIONS: tuple[Question[Any], ...] = (
    RATIOS,
    REFORMULATION,
    WHAT_IF,
    TEMPLATE,
    SECTION,
    LADDER,
    BAKE_SHEET,
    READING,
)
"""Every question, in the order in which the OpenAPI document tells of them."""
