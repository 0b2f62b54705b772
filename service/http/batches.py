"""A batch of briefs over HTTP: answered in order, a line each, as they are ready.

A batch takes one place among the workers at a time, so whoever asks a single question waits no
longer for it; a place that is taken from it is waited for. One brief is `service.http.answering`.
"""

import asyncio
import json
import logging
from collections.abc import AsyncIterator, Sequence
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from models.brief_batch import BriefBatch
from models.errors import FormholdError
from service.http.answering import answer_of
from service.http.bodies import receive_body
from service.http.callers import count_more
from service.http.solve_pool import RETRY_AFTER_SECONDS
from service.http.store_problems import refusal_of
from service.http.wiring import wiring
from service.problems import BUSY, CLIENT_GONE, INTERNAL_ERROR, Problem, Refused, problem_of
from service.questions.question import REFORMULATION
from service.reading.strict_json import understand
from service.store.database import DatabaseUnusable
from service.store.refusals import StoreRefusal

NDJSON = "application/x-ndjson"
MOST_VALUES = 100_000
"""A hundred times what one brief of twenty lines may hold."""
TRIES = 5
"""How often a place among the workers is waited for, before a brief is answered with 503."""

log = logging.getLogger("formhold.problems")


async def answer_batch(request: Request) -> Response:
    """Return a stream of lines, one for each brief in the body of `request`; raise Refused or
    BadInput where the body is no batch."""
    body = await receive_body(request, wiring(request).settings)
    batch = await run_in_threadpool(understand, body, BriefBatch, MOST_VALUES)
    await run_in_threadpool(count_more, request, len(batch.briefs) - 1)
    return StreamingResponse(
        _lines(request, batch.briefs), headers={"X-Accel-Buffering": "no"}, media_type=NDJSON
    )


async def _lines(request: Request, briefs: Sequence[dict[str, Any]]) -> AsyncIterator[bytes]:
    for index, brief in enumerate(briefs):
        head = f'{{"index":{index},"status":'.encode()
        try:
            answer = await _answer(request, json.dumps(brief).encode())
            yield head + b'200,"answer":' + answer + b',"problem":null}\n'
        except Exception as error:
            problem = _problem(request, error)
            if problem.status == CLIENT_GONE.status:
                return
            words = problem.model_dump_json().encode()
            yield head + f'{problem.status},"answer":null,"problem":'.encode() + words + b"}\n"


async def _answer(request: Request, body: bytes) -> bytes:
    for _ in range(TRIES - 1):
        try:
            return await answer_of(request, REFORMULATION, body)
        except Refused as refused:
            if refused.problem.type != BUSY.problem("").type:
                raise
            await asyncio.sleep(RETRY_AFTER_SECONDS)
    return await answer_of(request, REFORMULATION, body)


def _problem(request: Request, error: Exception) -> Problem:
    if isinstance(error, StoreRefusal | DatabaseUnusable):
        return refusal_of(error).problem
    if isinstance(error, FormholdError):
        try:
            return problem_of(error)
        except FormholdError:  # one that is nobody's to hear of
            pass
    request_id = request.state.request_id
    log.error("request %s failed", request_id, exc_info=error)
    return INTERNAL_ERROR.problem(f"The failure is logged as {request_id}.")
