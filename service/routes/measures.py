"""The measures that recipes may use and answers will."""

from fastapi import APIRouter, Depends

from service.http.openapi import problems
from service.http.query_strings import no_query
from service.questions.measure_table import MeasureTable, measure_table

router = APIRouter(tags=["reference"], dependencies=[Depends(no_query)])


@router.get(
    "/v1/measures",
    operation_id="getMeasures",
    summary="Get the measures",
    responses=problems(422),
)
async def get_measures() -> MeasureTable:
    """Answer every unit of a recipe line with its size, and the systems of measures with
    their rules and the fillings that make up each part of a cup or spoon."""
    return measure_table()
