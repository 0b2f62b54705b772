"""A piece on its form in section, drawn with what cracks it."""

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import asking
from service.http.query_strings import no_query
from service.questions.question import SECTION

router = APIRouter(tags=["forms"], dependencies=[Depends(no_query)])


@router.post(SECTION.path, operation_id="drawSection", summary="Draw a section", **asking(SECTION))
async def draw_section(request: Request) -> Response:
    """Answer one or two states of a piece on its form, each with its estimated chance of a crack,
    and a drawing to scale of the sheet rolled and baked and of where its outer face strains. Asked
    with `Accept: image/svg+xml`, the answer is the drawing alone."""
    return await answer(request, SECTION)
