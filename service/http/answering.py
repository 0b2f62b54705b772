"""Answering: one question over HTTP, from its body to its answer.

Everything that takes time (reading the JSON, solving, writing the answer) is one piece of work for
one worker, so that a large body holds up nobody else.
"""

from collections.abc import Callable
from functools import partial
from typing import Any, TypeVar

from starlette.requests import Request
from starlette.responses import Response

from service.deadline import Deadline
from service.http.bodies import receive_body
from service.http.callers import asker
from service.http.negotiation import JSON, SVG, prefers_picture
from service.http.wiring import wiring
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
    work = partial(question.draw if drawn else question.respond, body)
    content = await solve(request, work)
    headers = {"Vary": "Accept"} if question.picture else None
    return Response(content, headers=headers, media_type=SVG if drawn else JSON)


async def solve(request: Request, work: Callable[[Deadline], Result]) -> Result:
    """Return what `work` returns, done in its turn for whoever asks; raise Refused as the pool."""
    return await wiring(request).pool.run(work, gone=_hang_up(request), asker=asker(request))


async def _hang_up(request: Request) -> None:
    """Wait until the caller hangs up."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
