"""Kitchens, and the trials that were baked in them."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request, Response

from models.trial import Kitchen, KitchenList, NewKitchen, StoredTrial, Trial, TrialList
from service.http.callers import CallerId
from service.http.idempotency import IdempotencyKey
from service.http.openapi import showing, storing
from service.http.paging import PageQuery, show_page
from service.http.preconditions import show
from service.http.query_strings import each_once, no_query
from service.http.storing import StoredName, created, store_new
from service.http.wiring import wiring
from service.store import kitchens
from service.store.answered import Answered
from service.store.database import Connection

router = APIRouter(prefix="/v1/kitchens", tags=["shop"])

NEVER_CHANGED = 1
"""The version of what stays as it was told."""


@router.post(
    "",
    operation_id="addKitchen",
    summary="Add a kitchen",
    status_code=201,
    response_model=Kitchen,
    dependencies=[Depends(no_query)],
    **storing(NewKitchen, 409),
)
async def add_kitchen(request: Request, caller: CallerId, key: IdempotencyKey) -> Response:
    """Add a kitchen, an oven and its baker, to tell trials of."""

    def keep(connection: Connection, new: NewKitchen) -> Answered:
        made = kitchens.add_kitchen(connection, caller, new.name)
        return created(made, f"/v1/kitchens/{made.id}", NEVER_CHANGED)

    return await store_new(request, caller, key, NewKitchen, keep)


@router.get(
    "",
    operation_id="listKitchens",
    summary="List the kitchens",
    response_model=KitchenList,
    dependencies=[Depends(each_once)],
    **showing(),
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
    **showing(404),
)
def get_kitchen(request: Request, kitchen_id: StoredName, caller: CallerId) -> Response:
    """Answer what a kitchen is called."""
    with wiring(request).database.reading() as connection:
        found = kitchens.find_kitchen(connection, caller, kitchen_id)
    return show(request, found, NEVER_CHANGED)


@router.post(
    "/{kitchen_id}/trials",
    operation_id="tellTrial",
    summary="Tell a trial",
    status_code=201,
    response_model=StoredTrial,
    dependencies=[Depends(no_query)],
    **storing(Trial, 404, 409),
)
async def tell_trial(
    request: Request, kitchen_id: StoredName, caller: CallerId, key: IdempotencyKey
) -> Response:
    """Tell one bake of a kitchen: the dough, the form and the thickness, and what became of it.
    Baker's percentages are a recipe too: the grams of each ingredient to 100 g of flour."""

    def keep(connection: Connection, trial: Trial) -> Answered:
        made = kitchens.add_trial(connection, caller, kitchen_id, trial)
        return created(made, f"/v1/kitchens/{kitchen_id}/trials/{made.id}", NEVER_CHANGED)

    return await store_new(request, caller, key, Trial, keep)


@router.get(
    "/{kitchen_id}/trials",
    operation_id="listTrials",
    summary="List the trials of a kitchen",
    response_model=TrialList,
    dependencies=[Depends(each_once)],
    **showing(404),
)
def list_trials(
    request: Request,
    kitchen_id: StoredName,
    caller: CallerId,
    asked: Annotated[PageQuery, Query()],
) -> Response:
    """List a kitchen's trials in the order in which they were told; a Link header leads on."""
    with wiring(request).database.reading() as connection:
        found = kitchens.list_trials(connection, caller, kitchen_id, asked.cursor, asked.limit + 1)
    return show_page(
        request, asked, found, lambda page: TrialList(trials=page), lambda entry: entry.id
    )


@router.get(
    "/{kitchen_id}/trials/{trial_id}",
    operation_id="getTrial",
    summary="Get a trial",
    response_model=StoredTrial,
    dependencies=[Depends(no_query)],
    **showing(404),
)
def get_trial(
    request: Request, kitchen_id: StoredName, trial_id: StoredName, caller: CallerId
) -> Response:
    """Answer a trial as it was told."""
    with wiring(request).database.reading() as connection:
        found = kitchens.find_trial(connection, caller, kitchen_id, trial_id)
    return show(request, found, NEVER_CHANGED)


@router.delete(
    "/{kitchen_id}/trials/{trial_id}",
    operation_id="forgetTrial",
    summary="Forget a trial",
    status_code=204,
    dependencies=[Depends(no_query)],
    **showing(404),
)
def forget_trial(
    request: Request, kitchen_id: StoredName, trial_id: StoredName, caller: CallerId
) -> None:
    """Forget a trial that was told wrong, so that nothing is learnt from it."""
    with wiring(request).database.writing() as connection:
        kitchens.delete_trial(connection, caller, kitchen_id, trial_id)
