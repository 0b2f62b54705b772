"""The forms that a sheet may be laid over."""

from fastapi import APIRouter, Depends

from service.http.openapi import problems
from service.http.query_strings import no_query
from service.questions.form_table import FormTable, form_table

router = APIRouter(tags=["forms"], dependencies=[Depends(no_query)])


@router.get("/v1/forms", operation_id="getForms", summary="Get the forms", responses=problems(422))
async def get_forms() -> FormTable:
    """Answer every kind of form with a sentence, a small drawing, and its members with their units
    and allowed ranges; and the thickness that a sheet may have on it."""
    return form_table()
