"""Answering: one question over HTTP, from its body to its answer.

Everything that takes time (reading the JSON, solving, writing the answer) is one piece of work for
one worker, so that a large body holds up nobody else.
"""

import time
from collections.abc import Callable
from functools import partial
from typing import Any, TypeVar

from starlette.requests import Request
from starlette.responses import Response

from models.learning import Taught
from models.value import Value
from service.deadline import Deadline
from service.http.bodies import receive_body
from service.http.callers import asker, caller, known_holder
from service.http.negotiation import JSON, SVG, prefers_picture
from service.http.wiring import wiring
from service.questions.knowing import Knowing, taught_in
from service.questions.question import Question

Result = TypeVar("Result")


async def answer(request: Request, question: Question[Any]) -> Response:
    """Return the answer to the `question` that stands in the body of `request`.

    It is JSON, or the answer's picture alone where it has one and the caller would rather have it.
    """
    wired = wiring(request)
    body = await receive_body(request, wired.settings)
    accept = ",".join(request.headers.getlist("accept"))
    drawn = question.picture is not None and prefers_picture(accept)
    work = partial(
        question.draw if drawn else question.respond,
        body,
        knowing=knowing_of(request),
        noting=_counting(request, question),
    )
    content = await solve(request, work)
    headers = {"Vary": "Accept"} if question.picture else None
    return Response(content, headers=headers, media_type=SVG if drawn else JSON)


async def answer_of(request: Request, question: Question[Any], body: bytes) -> bytes:
    """Return the answer to one of several questions that came in one request; raise as the
    question and the pool do."""
    knowing, noting = knowing_of(request), _counting(request, question)
    return await solve(request, partial(question.respond, body, knowing=knowing, noting=noting))


def _counting(request: Request, question: Question[Any]) -> Callable[[Value], None]:
    """Return who counts the answer, and how long it took from now on."""
    began = time.perf_counter()

    def count(answer: Value) -> None:
        seconds = time.perf_counter() - began
        wiring(request).metrics.count_solve(question.operation_id, answer, seconds)

    return count


def knowing_of(request: Request) -> Knowing:
    """Return who tells what a kitchen has learned, to whoever asks; only then must they be known.

    Raises Refused there where they are not.
    """

    def knowing(kitchen_id: str) -> Taught:
        caller_id = caller(request, known_holder(request), None)
        return taught_in(wiring(request).database, caller_id, kitchen_id)

    return knowing


async def solve(request: Request, work: Callable[[Deadline], Result]) -> Result:
    """Return what `work` returns, done in its turn for whoever asks; raise Refused as the pool."""
    return await wiring(request).pool.run(work, gone=_hang_up(request), asker=asker(request))


async def _hang_up(request: Request) -> None:
    """Wait until the caller hangs up."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
