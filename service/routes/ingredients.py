"""The table of ingredients: searched, and one by one."""

from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query

from models.pantry import known_pantry
from service.http.openapi import problems
from service.http.query_strings import each_once, no_query
from service.problems import UNKNOWN_INGREDIENT, Refused
from service.questions.ingredient_table import (
    IngredientEntry,
    IngredientQuery,
    IngredientSearch,
    search,
)

router = APIRouter(prefix="/v1/ingredients", tags=["reference"])


@router.get(
    "",
    operation_id="searchIngredients",
    summary="Search the ingredients",
    dependencies=[Depends(each_once)],
    responses=problems(422),
)
def search_ingredients(asked: Annotated[IngredientQuery, Query()]) -> IngredientSearch:
    """Answer the ingredients whose name or other name holds the query, with role, composition,
    weights by cup, spoon and piece, allergens and sources; where none does, the nearest misses."""
    return search(asked)


@router.get(
    "/{name}",
    operation_id="getIngredient",
    summary="Get one ingredient",
    dependencies=[Depends(no_query)],
    responses=problems(404, 422),
)
def get_ingredient(
    name: Annotated[str, Path(max_length=200, description="Its name, or another that it goes by.")],
) -> IngredientEntry:
    """Answer the ingredient of that name, or of that other name."""
    found = known_pantry().find(name)
    if found is None:
        near = " or ".join(known_pantry().nearest(name))
        hint = f"Did you mean {near}?" if near else "Search /v1/ingredients?query= for it."
        raise Refused(UNKNOWN_INGREDIENT, hint)
    return IngredientEntry.of(found)
