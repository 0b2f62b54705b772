"""A batch of briefs: many recipes asked about in one request, and the lines of the answer.

What one brief is, is `models.brief`; a catalogue that is worked through in the background is
`models.run`.
"""

from typing import Annotated, Any

from pydantic import Field, JsonValue

from models.brief import Brief
from models.outcome import Outcome
from models.value import Value
from models.written import AsWritten

MOST_BRIEFS = 100


class BriefBatch(Value):
    """Briefs to answer, each as it would be sent alone; one at fault keeps none of the others."""

    briefs: Annotated[
        tuple[Annotated[dict[str, JsonValue], AsWritten(Brief)], ...],
        Field(min_length=1, max_length=MOST_BRIEFS),
    ]


class BriefAnswer(Value):
    """A line of the answer: which brief it is about, the status it would have had alone, and its
    answer, or the problem document that it would have had."""

    index: int
    status: int
    answer: Annotated[dict[str, Any], AsWritten(Outcome)] | None = None
    problem: dict[str, JsonValue] | None = None
