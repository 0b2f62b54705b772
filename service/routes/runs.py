"""Runs: one brief over a whole catalogue, worked through in the background."""

from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Header, Query, Request, Response
from pydantic import Field
from starlette.responses import StreamingResponse

from models.errors import BadInput, Fault, pointer
from models.run import ItemOutcome, Run, RunBrief, RunItems, RunList, RunTitle
from models.run_changes import AppliedRun, ApplyRun
from service.exchange.taken_over import apply_run
from service.http.callers import CallerId
from service.http.events import tell_events
from service.http.idempotency import IdempotencyKey
from service.http.negotiation import JSON
from service.http.openapi import describe_showing, describe_storing, describe_tagged
from service.http.paging import NumberedPageQuery, PageQuery, show_page
from service.http.preconditions import Expected, show
from service.http.query_strings import each_once, no_query
from service.http.storing import (
    StoredName,
    store_bit_by_bit,
    store_change,
    store_new,
    stored_name,
)
from service.http.wiring import wiring
from service.questions.knowing import taught_in
from service.runs.item_streams import CSV, NDJSON, as_csv, as_ndjson
from service.runs.misspelt import misspelt_names
from service.store import runs
from service.store.answered import Answered
from service.store.database import Connection
from service.store.refusals import AtWork, NotThere
from service.store.run_items import item_pages, items_after
from service.store.shelf import each_row
from service.store.taking_over import strangers_to

router = APIRouter(prefix="/v1/runs", tags=["shop"])

LastEventId = Annotated[
    str | None,
    Header(
        alias="Last-Event-ID",
        max_length=200,
        description="The id of the last event that was seen; what has not changed is not repeated.",
    ),
]


class RunQuery(PageQuery):
    """Which runs."""

    catalogue_id: Annotated[
        str, Field(max_length=32, description="Only those over this catalogue.")
    ] = ""


class ItemQuery(NumberedPageQuery):
    """Which of a run's items, and how; a stream gives all of them and takes no limit."""

    outcome: Annotated[ItemOutcome | None, Query(description="Only those.")] = None
    format: Annotated[
        Literal["json", "ndjson", "csv"] | None,
        Query(description="A page as JSON, or a stream of everything; without it, by Accept."),
    ] = None


@router.post(
    "",
    operation_id="startRun",
    summary="Run a brief over a catalogue",
    status_code=202,
    response_model=Run,
    dependencies=[Depends(no_query)],
    **describe_storing(RunBrief, 409),
)
async def start_run(request: Request, caller: CallerId, key: IdempotencyKey) -> Response:
    """Ask one brief of every recipe of a catalogue, as they are now. The answer comes at once; the
    run goes on in the background, whatever happens to the service. The same brief over the same
    recipes is the same run, and one that was cancelled goes on. A name in the limits that is in
    none of the recipes is refused; where it is in some, the items of the others say so."""

    def keep(connection: Connection, brief: RunBrief) -> Answered:
        if brief.kitchen is not None:
            brief = brief.taught_by(taught_in(wiring(request).database, caller, brief.kitchen))
        try:
            run_id, _ = runs.enter_run(connection, caller, brief)
        except NotThere:
            message = "is no catalogue of yours; GET /v1/catalogues lists them"
            raise BadInput([Fault(pointer="/catalogue_id", message=message)]) from None
        rows = each_row(wiring(request).database, caller, brief.catalogue_id)
        strangers = list(misspelt_names(brief, (row.recipe for row in rows)))
        if strangers:
            raise BadInput(strangers)
        entered = runs.find_run(connection, caller, run_id)
        location = {"Location": f"/v1/runs/{run_id}"}
        return Answered(202, location, entered.model_dump_json(by_alias=True).encode())

    response = await store_new(request, caller, key, RunBrief, keep)
    wiring(request).runs.wake()
    return response


@router.get(
    "",
    operation_id="listRuns",
    summary="List the runs",
    response_model=RunList,
    dependencies=[Depends(each_once)],
    **describe_showing(404),
)
def list_runs(request: Request, caller: CallerId, asked: Annotated[RunQuery, Query()]) -> Response:
    """List runs and how far they have come, the oldest first, over one catalogue or all; a Link
    header leads to the next page."""
    over = stored_name(asked.catalogue_id) if asked.catalogue_id else None
    with wiring(request).database.reading() as connection:
        found = runs.list_runs(connection, caller, over, asked.cursor, asked.limit + 1)
    return show_page(request, asked, found, lambda page: RunList(runs=page), lambda entry: entry.id)


@router.get(
    "/{run_id}",
    operation_id="getRun",
    summary="Get a run",
    response_model=Run,
    dependencies=[Depends(no_query)],
    **describe_tagged(404),
)
def get_run(request: Request, run_id: StoredName, caller: CallerId) -> Response:
    """Answer how far a run has come, how fast it goes and how long it may still take. Once it is
    over it has an ETag: its `revision` in quotes."""
    found = _find(request, run_id, caller)
    if found.is_over:
        return show(request, found, found.revision)
    return Response(found.model_dump_json(by_alias=True), media_type=JSON)


@router.put(
    "/{run_id}",
    operation_id="renameRun",
    summary="Rename a run",
    response_model=Run,
    dependencies=[Depends(no_query)],
    **describe_storing(RunTitle, 404, 412, 428),
)
async def rename_run(
    request: Request, run_id: StoredName, caller: CallerId, expected: Expected
) -> Response:
    """Give a run a title, if nobody has since the `revision` in If-Match."""

    def keep(connection: Connection, new: RunTitle) -> tuple[Run, int]:
        kept = runs.rename_run(connection, caller, run_id, expected, new.title)
        return kept, kept.revision

    return await store_change(request, RunTitle, keep)


@router.delete(
    "/{run_id}",
    operation_id="deleteRun",
    summary="Delete a run",
    status_code=204,
    dependencies=[Depends(no_query)],
    **describe_showing(404, 409, 412, 428),
)
def delete_run(request: Request, run_id: StoredName, caller: CallerId, expected: Expected) -> None:
    """Delete a run that is over, with all that came of it, if nobody has renamed it since the
    `revision` in If-Match. The recipes stay; one still at work has to be cancelled first."""
    with wiring(request).database.writing() as connection:
        runs.delete_run(connection, caller, run_id, expected)


@router.post(
    "/{run_id}/apply",
    operation_id="applyRun",
    summary="Take a run's changes over",
    response_model=AppliedRun,
    dependencies=[Depends(no_query)],
    **describe_storing(ApplyRun, 404, 409),
)
async def apply_changes(
    request: Request, run_id: StoredName, caller: CallerId, key: IdempotencyKey
) -> Response:
    """Write a new version of each recipe that the run moved, or of those named, with the amounts it
    proposes. A recipe that was changed since the run began, or deleted, is left as it is, and the
    answer says so; what was taken over before stays as it is. The run must be over."""
    database = wiring(request).database

    def keep(choice: ApplyRun) -> Answered:
        if not _find(request, run_id, caller).is_over:
            raise AtWork(run_id)
        chosen = choice.recipes
        strangers = strangers_to(database, run_id, chosen or ())
        if strangers:
            raise BadInput(
                Fault(pointer=pointer(("recipes", at)), message="is no recipe of this run")
                for at, name in enumerate(chosen or ())
                if name in strangers
            )
        applied = apply_run(database, caller, run_id, None if chosen is None else set(chosen))
        return Answered(200, {}, applied.model_dump_json().encode())

    return await store_bit_by_bit(request, caller, key, ApplyRun, keep)


@router.get(
    "/{run_id}/events",
    operation_id="followRun",
    summary="Follow a run",
    response_class=Response,
    dependencies=[Depends(no_query)],
    responses={
        200: {
            "description": "A `progress` event for each step, then one `end`; each holds a Run.",
            "content": {"text/event-stream": {"schema": {"type": "string"}}},
        },
        204: {"description": "`Last-Event-ID` names the last event of a run that is over."},
        **describe_showing(404)["responses"],
    },
)
def follow_run(
    request: Request, run_id: StoredName, caller: CallerId, last_event_id: LastEventId = None
) -> Response:
    """Answer how far a run has come as server-sent events, until it is over."""
    return tell_events(
        _find(request, run_id, caller),
        lambda: _find(request, run_id, caller),
        last_event_id,
        wiring(request).is_closing.is_set,
    )


@router.post(
    "/{run_id}/cancel",
    operation_id="cancelRun",
    summary="Cancel a run",
    dependencies=[Depends(no_query)],
    **describe_showing(404),
)
def cancel_run(request: Request, run_id: StoredName, caller: CallerId) -> Run:
    """Let a run go no further; what is done stays. A run that is over stays as it is."""
    with wiring(request).database.writing() as connection:
        return runs.cancel_run(connection, caller, run_id)


@router.get(
    "/{run_id}/items",
    operation_id="listRunItems",
    summary="List what came of a run's recipes",
    response_model=RunItems,
    dependencies=[Depends(each_once)],
    responses={
        200: {"content": {kind: {"schema": {"type": "string"}} for kind in (NDJSON, CSV)}},
        **describe_showing(404)["responses"],
    },
)
def list_items(
    request: Request,
    run_id: StoredName,
    caller: CallerId,
    asked: Annotated[ItemQuery, Query()],
) -> Response:
    """List what came of each recipe that is done, in the catalogue's order: a page of JSON with a
    Link header to the next, or everything at once as NDJSON or CSV, of which a spreadsheet sees
    the outlines."""
    _find(request, run_id, caller)
    database = wiring(request).database
    after = int(asked.cursor or -1)
    form = asked.format or _welcome_form(request)
    if form != "json":
        pages = item_pages(database, run_id, after, asked.outcome)
        stream, kind = (as_csv, CSV) if form == "csv" else (as_ndjson, NDJSON)
        return StreamingResponse(stream(pages), headers=_VARY, media_type=kind)
    with database.reading() as connection:
        found = items_after(connection, run_id, after, asked.outcome, asked.limit + 1)
    page = show_page(
        request, asked, found, lambda page: RunItems(items=page), lambda item: item["position"]
    )
    page.headers.update(_VARY)
    return page


_VARY = {"Vary": "Accept"}


def _welcome_form(request: Request) -> Literal["json", "ndjson", "csv"]:
    accepted = ",".join(request.headers.getlist("accept")).lower()
    return "csv" if CSV in accepted else "ndjson" if NDJSON in accepted else "json"


def _find(request: Request, run_id: str, caller: str) -> Run:
    with wiring(request).database.reading() as connection:
        return runs.find_run(connection, caller, run_id)
