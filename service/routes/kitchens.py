"""Kitchens; what was baked in them is `service.routes.trials`."""

from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Query, Request, Response

from models.kitchen import Kitchen, KitchenList, NewKitchen
from service.http.callers import CallerId
from service.http.idempotency import IdempotencyKey
from service.http.openapi import describe_showing, describe_storing
from service.http.paging import PageQuery, show_page
from service.http.preconditions import Expected, show
from service.http.query_strings import each_once, no_query
from service.http.storing import StoredName, created, store_change, store_new
from service.http.wiring import wiring
from service.store import kitchens
from service.store.answered import Answered
from service.store.database import Connection

router = APIRouter(prefix="/v1/kitchens", tags=["shop"])

WithTrials = Annotated[
    Literal["delete"] | None,
    Query(description="`delete` deletes the trials too; without it, only an empty one goes."),
]


@router.post(
    "",
    operation_id="addKitchen",
    summary="Add a kitchen",
    status_code=201,
    response_model=Kitchen,
    dependencies=[Depends(no_query)],
    **describe_storing(NewKitchen, 409),
)
async def add_kitchen(request: Request, caller: CallerId, key: IdempotencyKey) -> Response:
    """Add a kitchen, an oven and its baker, to tell trials of."""

    def keep(connection: Connection, new: NewKitchen) -> Answered:
        made = kitchens.add_kitchen(connection, caller, new.name)
        return created(made, f"/v1/kitchens/{made.id}", made.revision)

    return await store_new(request, caller, key, NewKitchen, keep)


@router.get(
    "",
    operation_id="listKitchens",
    summary="List the kitchens",
    response_model=KitchenList,
    dependencies=[Depends(each_once)],
    **describe_showing(),
)
def list_kitchens(
    request: Request, caller: CallerId, asked: Annotated[PageQuery, Query()]
) -> Response:
    """List kitchens, the oldest first; a Link header leads to the next page."""
    with wiring(request).database.reading() as connection:
        found = kitchens.list_kitchens(connection, caller, asked.cursor, asked.limit + 1)
    return show_page(
        request, asked, found, lambda page: KitchenList(kitchens=page), lambda entry: entry.id
    )


@router.get(
    "/{kitchen_id}",
    operation_id="getKitchen",
    summary="Get a kitchen",
    response_model=Kitchen,
    dependencies=[Depends(no_query)],
    **describe_showing(404),
)
def get_kitchen(request: Request, kitchen_id: StoredName, caller: CallerId) -> Response:
    """Answer what a kitchen is called."""
    with wiring(request).database.reading() as connection:
        found = kitchens.find_kitchen(connection, caller, kitchen_id)
    return show(request, found, found.revision)


@router.put(
    "/{kitchen_id}",
    operation_id="renameKitchen",
    summary="Rename a kitchen",
    response_model=Kitchen,
    dependencies=[Depends(no_query)],
    **describe_storing(NewKitchen, 404, 412, 428),
)
async def rename_kitchen(
    request: Request, kitchen_id: StoredName, caller: CallerId, expected: Expected
) -> Response:
    """Give a kitchen another name, if nobody has since the revision in If-Match."""

    def keep(connection: Connection, new: NewKitchen) -> tuple[Kitchen, int]:
        kept = kitchens.rename_kitchen(connection, caller, kitchen_id, expected, new.name)
        return kept, kept.revision

    return await store_change(request, NewKitchen, keep)


@router.delete(
    "/{kitchen_id}",
    operation_id="deleteKitchen",
    summary="Delete a kitchen",
    status_code=204,
    dependencies=[Depends(each_once)],
    **describe_showing(404, 409, 412, 428),
)
def delete_kitchen(
    request: Request,
    kitchen_id: StoredName,
    caller: CallerId,
    expected: Expected,
    trials: WithTrials = None,
) -> None:
    """Delete a kitchen if it has no trials, or with all of them where `trials=delete` says so.
    Nothing goes if its name has changed since the revision in If-Match."""
    with wiring(request).database.writing() as connection:
        kitchens.delete_kitchen(
            connection, caller, kitchen_id, expected, with_trials=trials == "delete"
        )
