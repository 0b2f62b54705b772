"""A recipe by weight and ratio."""

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import asking
from service.http.query_strings import no_query
from service.questions.question import RATIOS

router = APIRouter(tags=["doughs"], dependencies=[Depends(no_query)])


@router.post(RATIOS.path, operation_id="weigh", summary="Weigh a recipe", **asking(RATIOS))
async def weigh(request: Request) -> Response:
    """Answer a recipe line by line in grams and baker's percentages, with its seven ratios, the
    allergens it brings and the cautions it calls for. Nothing is changed; without flour the ratios
    are null."""
    return await answer(request, RATIOS)
