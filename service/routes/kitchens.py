"""Kitchens; what was baked in them is `service.routes.trials`."""

from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Query, Request, Response

from models.kitchen import Kitchen, KitchenList, NewKitchen
from models.lessons import Lessons
from models.next_bake import NextBake, NextBakeRequest
from service.deadline import Deadline
from service.http.answering import solve
from service.http.bodies import receive_body
from service.http.callers import CallerId
from service.http.idempotency import IdempotencyKey
from service.http.negotiation import JSON
from service.http.openapi import describe_showing, describe_storing, describe_tagged
from service.http.paging import PageQuery, show_page
from service.http.preconditions import Expected, show
from service.http.query_strings import each_once, no_query
from service.http.storing import StoredName, created, store_change, store_new
from service.http.wiring import wiring
from service.questions.knowing import known_of
from service.questions.lessons import lessons_of
from service.questions.next_bakes import next_bake
from service.reading.strict_json import understand
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
    **describe_tagged(404),
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


@router.post(
    "/{kitchen_id}/next-bake",
    operation_id="planNextBake",
    summary="Plan the next bake",
    response_model=NextBake,
    dependencies=[Depends(no_query)],
    **describe_storing(NextBakeRequest, 404),
)
async def plan_next_bake(request: Request, kitchen_id: StoredName, caller: CallerId) -> Response:
    """Answer which dough to bake next in this kitchen, on which three thicknesses of one tray, and
    why; or that one is ready to publish; or that it will not do with this dough, and what would
    have to give. `preference` sets a safe bake against one closer to the original. Nothing is
    stored."""
    parts = wiring(request)
    body = await receive_body(request, parts.settings)

    def work(_: Deadline) -> bytes:
        asked = understand(body, NextBakeRequest)
        known = known_of(parts.database, caller, kitchen_id)
        return next_bake(asked, known.learned, known.taught).model_dump_json().encode()

    return Response(await solve(request, work), media_type=JSON)


@router.get(
    "/{kitchen_id}/lessons",
    operation_id="tellLessons",
    summary="Tell what a kitchen has learned",
    response_model=Lessons,
    dependencies=[Depends(no_query)],
    **describe_showing(404),
)
async def tell_lessons(request: Request, kitchen_id: StoredName, caller: CallerId) -> Response:
    """Answer what each tray taught, in words and figures: what was foretold before it was learned
    from, what happened, what is foretold of the same tray since; how often the kitchen's chances
    came true, and how far it leans on a plain tally."""
    parts = wiring(request)

    def work(_: Deadline) -> bytes:
        return lessons_of(known_of(parts.database, caller, kitchen_id)).model_dump_json().encode()

    return Response(await solve(request, work), media_type=JSON)
