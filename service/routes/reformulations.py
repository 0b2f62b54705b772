"""A recipe changed as little as can be, so that its dough holds its shape."""

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import asking
from service.http.query_strings import no_query
from service.questions.question import REFORMULATION

router = APIRouter(tags=["doughs"], dependencies=[Depends(no_query)])


@router.post(
    REFORMULATION.path,
    operation_id="reformulate",
    summary="Reformulate a recipe",
    **asking(REFORMULATION),
)
async def propose(request: Request) -> Response:
    """Answer the smallest changes, in amounts that can be scooped or weighed, that bring a recipe's
    ratios into the window within the caller's limits; proved least, with the reason for every moved
    line. Where no change will do, the answer names limits that cannot hold together and what would
    work instead: that too is a 200."""
    return await answer(request, REFORMULATION)
