"""Questions: what may be asked of the service, and who answers.

A question takes bytes and gives bytes, so that HTTP and the command line answer the same to the
byte.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic

from models.brief import Brief, Weighed
from models.ladder import LadderBrief
from models.outcome import Outcome
from models.value import Value
from models.weighing import Weighing
from models.what_if import Judgement, WhatIf
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

    `picture` takes the SVG out of an answer that has one.
    """

    path: str
    asked: type[Asked]
    answered: type[Value]
    answer: Callable[[Asked, SecondsLeft], Value]
    picture: Callable[[Any], str] | None = None

    def respond(self, body: bytes, seconds_left: SecondsLeft) -> bytes:
        """Return the answer to `body`, as JSON.

        Raises BadInput or Refused where it cannot be understood, RecheckFailed where the answer
        cannot be trusted.
        """
        answer = self.answer(understand(body, self.asked), seconds_left)
        return answer.model_dump_json(by_alias=True).encode()

    def draw(self, body: bytes, seconds_left: SecondsLeft) -> bytes:
        """Return the picture of the answer to `body`, as SVG; raise as `respond` does."""
        assert self.picture is not None, "only an answer with a picture is drawn"
        return self.picture(self.answer(understand(body, self.asked), seconds_left)).encode()


RATIOS = Question("/v1/ratios", Weighed, Weighing, lambda asked, _: Weighing.of(asked))
REFORMULATION = Question("/v1/reformulations", Brief, Outcome, reformulate)
WHAT_IF = Question("/v1/what-if", WhatIf, Judgement, lambda asked, _: judge(asked))
READING = Question("/v1/readings", RecipeText, RecipeReading, lambda asked, _: read_recipe(asked))
TEMPLATE = Question(
    "/v1/templates",
    TemplateRequest,
    DrawnTemplate,
    lambda asked, _: drawn_template(asked),
    picture=lambda drawn: drawn.svg,
)
SECTION = Question(
    "/v1/sections",
    SectionRequest,
    DrawnSection,
    lambda asked, _: drawn_section(asked),
    picture=lambda drawn: drawn.svg,
)
LADDER = Question(
    "/v1/ladders", LadderBrief, DrawnLadder, drawn_ladder, picture=lambda drawn: drawn.svg
)
