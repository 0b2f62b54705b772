"""Edits to a recipe, judged and not improved."""

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import asking
from service.http.query_strings import no_query
from service.questions.question import WHAT_IF

router = APIRouter(tags=["doughs"], dependencies=[Depends(no_query)])


@router.post(
    WHAT_IF.path, operation_id="judgeEdits", summary="Judge edits to a recipe", **asking(WHAT_IF)
)
async def judge_edits(request: Request) -> Response:
    """Answer what edits do to a recipe's ratios, which bounds hold then, and the edited recipe.
    Nothing is optimised."""
    return await answer(request, WHAT_IF)
