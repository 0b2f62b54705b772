"""The ladder of changes, from the least harm to texture upwards."""

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import asking
from service.http.query_strings import no_query
from service.questions.question import LADDER

router = APIRouter(tags=["forms"], dependencies=[Depends(no_query)])


@router.post(LADDER.path, operation_id="climbLadder", summary="Climb the ladder", **asking(LADDER))
async def climb_ladder(request: Request) -> Response:
    """Answer the trade's ways to make a dough hold on a form (thinner, chilled, less leavening, a
    little flour, combinations, another fat), each as a whole recipe with its estimated chance of
    a crack, and the least harm for each chance. Asked with `Accept: image/svg+xml`, the answer is
    the chart alone. `complete` is false where the deadline struck first."""
    return await answer(request, LADDER)
