"""Catalogues: a shop's recipes under one title."""

from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Query, Request, Response

from models.catalogue import Catalogue, CatalogueList, NewCatalogue
from service.http.callers import CallerId
from service.http.idempotency import IdempotencyKey
from service.http.openapi import describe_showing, describe_storing, describe_tagged
from service.http.paging import PageQuery, show_page
from service.http.preconditions import Expected, show
from service.http.query_strings import each_once, no_query
from service.http.storing import StoredName, created, store_change, store_new
from service.http.wiring import wiring
from service.store import catalogues
from service.store.answered import Answered
from service.store.database import Connection

router = APIRouter(prefix="/v1/catalogues", tags=["shop"])

WithRecipes = Annotated[
    Literal["delete"] | None,
    Query(description="`delete` deletes the recipes too; without it, only an empty one goes."),
]


@router.post(
    "",
    operation_id="makeCatalogue",
    summary="Make a catalogue",
    status_code=201,
    response_model=Catalogue,
    dependencies=[Depends(no_query)],
    **describe_storing(NewCatalogue, 409),
)
async def make_catalogue(request: Request, caller: CallerId, key: IdempotencyKey) -> Response:
    """Make a catalogue for recipes to be stored in."""

    def keep(connection: Connection, new: NewCatalogue) -> Answered:
        made = catalogues.add_catalogue(connection, caller, new.title)
        return created(made, f"/v1/catalogues/{made.id}", made.revision)

    return await store_new(request, caller, key, NewCatalogue, keep)


@router.get(
    "",
    operation_id="listCatalogues",
    summary="List the catalogues",
    response_model=CatalogueList,
    dependencies=[Depends(each_once)],
    **describe_showing(),
)
def list_catalogues(
    request: Request, caller: CallerId, asked: Annotated[PageQuery, Query()]
) -> Response:
    """List catalogues, the oldest first; a Link header leads to the next page."""
    with wiring(request).database.reading() as connection:
        found = catalogues.list_catalogues(connection, caller, asked.cursor, asked.limit + 1)
    return show_page(
        request, asked, found, lambda page: CatalogueList(catalogues=page), lambda entry: entry.id
    )


@router.get(
    "/{catalogue_id}",
    operation_id="getCatalogue",
    summary="Get a catalogue",
    response_model=Catalogue,
    dependencies=[Depends(no_query)],
    **describe_tagged(404),
)
def get_catalogue(request: Request, catalogue_id: StoredName, caller: CallerId) -> Response:
    """Answer what a catalogue is called; GET /v1/recipes?catalogue_id= lists what is in it."""
    with wiring(request).database.reading() as connection:
        found = catalogues.find_catalogue(connection, caller, catalogue_id)
    return show(request, found, found.revision)


@router.put(
    "/{catalogue_id}",
    operation_id="renameCatalogue",
    summary="Rename a catalogue",
    response_model=Catalogue,
    dependencies=[Depends(no_query)],
    **describe_storing(NewCatalogue, 404, 412, 428),
)
async def rename_catalogue(
    request: Request, catalogue_id: StoredName, caller: CallerId, expected: Expected
) -> Response:
    """Give a catalogue another title, if nobody has since the revision in If-Match."""

    def keep(connection: Connection, new: NewCatalogue) -> tuple[Catalogue, int]:
        kept = catalogues.rename_catalogue(connection, caller, catalogue_id, expected, new.title)
        return kept, kept.revision

    return await store_change(request, NewCatalogue, keep)


@router.delete(
    "/{catalogue_id}",
    operation_id="deleteCatalogue",
    summary="Delete a catalogue",
    status_code=204,
    dependencies=[Depends(each_once)],
    **describe_showing(404, 409, 412, 428),
)
def delete_catalogue(
    request: Request,
    catalogue_id: StoredName,
    caller: CallerId,
    expected: Expected,
    recipes: WithRecipes = None,
) -> None:
    """Delete a catalogue if it is empty, or with all its recipes where `recipes=delete` says so.
    Nothing goes if its title has changed since the revision in If-Match."""
    with wiring(request).database.writing() as connection:
        catalogues.delete_catalogue(
            connection, caller, catalogue_id, expected, with_recipes=recipes == "delete"
        )
