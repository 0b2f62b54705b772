"""The flat piece to cut for a form, drawn to print."""

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import asking
from service.http.query_strings import no_query
from service.questions.question import TEMPLATE

router = APIRouter(tags=["forms"], dependencies=[Depends(no_query)])


@router.post(
    TEMPLATE.path, operation_id="drawTemplate", summary="Draw a template", **asking(TEMPLATE)
)
async def draw_template(request: Request) -> Response:
    """Answer the flat piece to cut for a form at a thickness: its outline, its area, the dough it
    takes, the dough for all pieces with what trimming leaves over, and its drawing as SVG in true
    size. Asked with `Accept: image/svg+xml`, the answer is the drawing alone."""
    return await answer(request, TEMPLATE)
