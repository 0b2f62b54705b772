"""Plain text read as a recipe."""

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import asking
from service.http.query_strings import no_query
from service.questions.question import READING

router = APIRouter(tags=["doughs"], dependencies=[Depends(no_query)])


@router.post(READING.path, operation_id="readText", summary="Read plain text", **asking(READING))
async def read_text(request: Request) -> Response:
    """Answer a recipe read from plain text, one ingredient a line, and every line that could not be
    read with what to do about it. Blank lines are skipped; nothing else is dropped in silence."""
    return await answer(request, READING)
