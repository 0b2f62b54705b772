"""Stored recipes: each with every version it ever had."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request, Response
from pydantic import Field

from models.catalogue import (
    NewRecipe,
    RecipeList,
    RecipeRevision,
    StoredRecipe,
    VersionList,
)
from models.errors import BadInput, Fault
from models.written import Label
from service.http.callers import CallerId
from service.http.idempotency import IdempotencyKey
from service.http.openapi import describe_showing, describe_storing, describe_tagged
from service.http.paging import NumberedPageQuery, PageQuery, show_page
from service.http.preconditions import Expected, show
from service.http.query_strings import each_once, no_query
from service.http.storing import StoredName, created, store_change, store_new, stored_name
from service.http.wiring import wiring
from service.store import recipes
from service.store.answered import Answered
from service.store.database import Connection
from service.store.refusals import NotThere

router = APIRouter(prefix="/v1/recipes", tags=["shop"])

Version = Annotated[
    int | None, Query(ge=1, le=2**31 - 1, description="A version; without it, the newest.")
]


class RecipeQuery(PageQuery):
    """Which recipes."""

    catalogue_id: Annotated[
        str, Field(max_length=32, description="Only those of this catalogue.")
    ] = ""
    catalogue: Annotated[
        str, Field(max_length=32, description="The older name of `catalogue_id`.", deprecated=True)
    ] = ""
    external_id: Annotated[
        Label | None, Field(description="Only those called so where they came from.")
    ] = None
    title: Annotated[Label | None, Field(description="Only those with just this title.")] = None


@router.post(
    "",
    operation_id="storeRecipe",
    summary="Store a recipe",
    status_code=201,
    response_model=StoredRecipe,
    dependencies=[Depends(no_query)],
    **describe_storing(NewRecipe, 409),
)
async def store_recipe(request: Request, caller: CallerId, key: IdempotencyKey) -> Response:
    """Store a recipe, in a catalogue or in none. Every line must be one that can be read."""

    def keep(connection: Connection, new: NewRecipe) -> Answered:
        try:
            made = recipes.add_recipe(connection, caller, new)
        except NotThere:
            message = "is no catalogue of yours; GET /v1/catalogues lists them"
            raise BadInput([Fault(pointer="/catalogue_id", message=message)]) from None
        return created(made, f"/v1/recipes/{made.id}", made.version)

    return await store_new(request, caller, key, NewRecipe, keep)


@router.get(
    "",
    operation_id="listRecipes",
    summary="List the stored recipes",
    response_model=RecipeList,
    dependencies=[Depends(each_once)],
    **describe_showing(404),
)
def list_recipes(
    request: Request, caller: CallerId, asked: Annotated[RecipeQuery, Query()]
) -> Response:
    """List recipes without their lines, the oldest first, of one catalogue or all, and of one name
    or title where that is asked for; a Link header leads to the next page."""
    sent = asked.model_dump(include={"catalogue_id", "catalogue"})
    within = sent["catalogue_id"] or sent["catalogue"]
    sought = recipes.Sought(stored_name(within) if within else None, asked.external_id, asked.title)
    with wiring(request).database.reading() as connection:
        found = recipes.list_recipes(connection, caller, sought, asked.cursor, asked.limit + 1)
    return show_page(
        request, asked, found, lambda page: RecipeList(recipes=page), lambda entry: entry.id
    )


@router.get(
    "/{recipe_id}",
    operation_id="getRecipe",
    summary="Get a stored recipe",
    response_model=StoredRecipe,
    dependencies=[Depends(each_once)],
    **describe_tagged(404),
)
def get_recipe(
    request: Request, recipe_id: StoredName, caller: CallerId, version: Version = None
) -> Response:
    """Answer a recipe as it was written, at its newest version or another one."""
    with wiring(request).database.reading() as connection:
        found = recipes.find_recipe(connection, caller, recipe_id, version)
    return show(request, found, found.version)


@router.get(
    "/{recipe_id}/versions",
    operation_id="listVersions",
    summary="List the versions of a recipe",
    response_model=VersionList,
    dependencies=[Depends(each_once)],
    **describe_showing(404),
)
def list_versions(
    request: Request,
    recipe_id: StoredName,
    caller: CallerId,
    asked: Annotated[NumberedPageQuery, Query()],
) -> Response:
    """List every version that a recipe ever had, the first one first."""
    after = int(asked.cursor or 0)
    with wiring(request).database.reading() as connection:
        found = recipes.list_versions(connection, caller, recipe_id, after, asked.limit + 1)
    return show_page(
        request, asked, found, lambda page: VersionList(versions=page), lambda entry: entry.version
    )


@router.put(
    "/{recipe_id}",
    operation_id="reviseRecipe",
    summary="Store a new version",
    response_model=StoredRecipe,
    dependencies=[Depends(no_query)],
    **describe_storing(RecipeRevision, 404, 412, 428),
)
async def revise_recipe(
    request: Request, recipe_id: StoredName, caller: CallerId, expected: Expected
) -> Response:
    """Store a recipe's next version, if nobody has since the one in If-Match. The versions before
    stay as they are."""

    def keep(connection: Connection, revision: RecipeRevision) -> tuple[StoredRecipe, int]:
        kept = recipes.revise_recipe(connection, caller, recipe_id, expected, revision.recipe)
        return kept, kept.version

    return await store_change(request, RecipeRevision, keep)


@router.delete(
    "/{recipe_id}",
    operation_id="deleteRecipe",
    summary="Delete a recipe",
    status_code=204,
    dependencies=[Depends(no_query)],
    **describe_showing(404, 412, 428),
)
def delete_recipe(
    request: Request, recipe_id: StoredName, caller: CallerId, expected: Expected
) -> None:
    """Delete a recipe with all its versions, if nobody has changed it since the one in If-Match.
    What runs have made of it stays with them."""
    with wiring(request).database.writing() as connection:
        recipes.delete_recipe(connection, caller, recipe_id, expected)
