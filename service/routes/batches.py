"""Batches: many briefs in one request, for front ends that show a list."""

from fastapi import APIRouter, Depends, Request, Response

from models.brief_batch import BriefBatch
from service.http.batches import NDJSON, answer_batch
from service.http.openapi import describe_batch
from service.http.query_strings import no_query

router = APIRouter(tags=["doughs"], dependencies=[Depends(no_query)])


@router.post(
    "/v1/batches",
    operation_id="reformulateEach",
    summary="Reformulate many recipes",
    response_class=Response,
    **describe_batch(BriefBatch, NDJSON),
)
async def reformulate_each(request: Request) -> Response:
    """Answer up to 100 briefs, in their order, as lines of JSON that come as they are ready: each
    with its `index`, the `status` that it would have had alone, and its `answer` or `problem`. A
    brief counts as a request of its own, and has a deadline of its own."""
    return await answer_batch(request)
