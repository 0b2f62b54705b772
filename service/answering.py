"""Answering: one question over HTTP, from its body to its answer.

Everything that takes time (reading the JSON, solving, writing the answer) is one piece of work for
one worker, so that a large body holds up nobody else.
"""

from functools import partial
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from service.bodies import receive_body
from service.questions import Question
from service.wiring import wiring


async def answer(request: Request, question: Question[Any]) -> Response:
    """Return the answer to the `question` that stands in the body of `request`."""
    parts = wiring(request)
    body = await receive_body(request, parts.settings)
    content = await parts.pool.run(partial(question.respond, body), gone=_hang_up(request))
    return Response(content, media_type="application/json")


async def _hang_up(request: Request) -> None:
    """Wait until the caller hangs up."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
