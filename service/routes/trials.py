"""Trials: what was baked in a kitchen, told tray by tray, corrected with history, in and out as
files."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request, Response
from pydantic import Field
from starlette.concurrency import run_in_threadpool

from models.trial import StoredTrial, Trial, TrialList, TrialVersionList
from models.value import Value
from service.exchange.trial_files import (
    MEDIA_TYPES,
    READERS,
    WRITERS,
    TrialFileForm,
    TrialImport,
    import_trials,
)
from service.http.bodies import check_coding, receive_body
from service.http.callers import CallerId
from service.http.idempotency import IdempotencyKey
from service.http.openapi import (
    describe_showing,
    describe_storing,
    describe_tagged,
    problems,
    sent_files,
)
from service.http.paging import NumberedPageQuery, PageQuery, show_page
from service.http.preconditions import Expected, show
from service.http.query_strings import each_once, no_query
from service.http.storing import StoredName, created, store_change, store_new
from service.http.wiring import wiring
from service.store import trials
from service.store.answered import Answered
from service.store.database import Connection
from service.store.kitchens import find_kitchen

router = APIRouter(prefix="/v1/kitchens/{kitchen_id}", tags=["shop"])


class TrialFileQuery(Value):
    """Which kind of file."""

    format: Annotated[
        TrialFileForm, Field(description="`ndjson` is a trial a line; `csv` a piece a row.")
    ] = "ndjson"


@router.post(
    "/trials",
    operation_id="tellTrial",
    summary="Tell a trial",
    status_code=201,
    response_model=StoredTrial,
    dependencies=[Depends(no_query)],
    **describe_storing(Trial, 404, 409),
)
async def tell_trial(
    request: Request, kitchen_id: StoredName, caller: CallerId, key: IdempotencyKey
) -> Response:
    """Tell one tray of a kitchen: the dough, the form, up to three thicknesses, and what became of
    every piece. A flat round alone may be told too. Baker's percentages are a recipe as well: the
    grams of each ingredient to 100 g of flour."""

    def keep(connection: Connection, trial: Trial) -> Answered:
        made = trials.add_trial(connection, caller, kitchen_id, trial)
        return created(made, f"/v1/kitchens/{kitchen_id}/trials/{made.id}", made.version)

    return await store_new(request, caller, key, Trial, keep)


@router.get(
    "/trials",
    operation_id="listTrials",
    summary="List the trials of a kitchen",
    response_model=TrialList,
    dependencies=[Depends(each_once)],
    **describe_showing(404),
)
def list_trials(
    request: Request,
    kitchen_id: StoredName,
    caller: CallerId,
    asked: Annotated[PageQuery, Query()],
) -> Response:
    """List a kitchen's trials in the order in which they were told; a Link header leads on."""
    with wiring(request).database.reading() as connection:
        found = trials.list_trials(connection, caller, kitchen_id, asked.cursor, asked.limit + 1)
    return show_page(
        request, asked, found, lambda page: TrialList(trials=page), lambda entry: entry.id
    )


@router.get(
    "/trials/{trial_id}",
    operation_id="getTrial",
    summary="Get a trial",
    response_model=StoredTrial,
    dependencies=[Depends(no_query)],
    **describe_tagged(404),
)
def get_trial(
    request: Request, kitchen_id: StoredName, trial_id: StoredName, caller: CallerId
) -> Response:
    """Answer a trial as it was told last."""
    with wiring(request).database.reading() as connection:
        found = trials.find_trial(connection, caller, kitchen_id, trial_id)
    return show(request, found, found.version)


@router.get(
    "/trials/{trial_id}/versions",
    operation_id="listTrialVersions",
    summary="List what a trial was told to be",
    response_model=TrialVersionList,
    dependencies=[Depends(each_once)],
    **describe_showing(404),
)
def list_trial_versions(
    request: Request,
    kitchen_id: StoredName,
    trial_id: StoredName,
    caller: CallerId,
    asked: Annotated[NumberedPageQuery, Query()],
) -> Response:
    """List every telling of a trial, the first one first: nothing that was corrected is lost."""
    after = int(asked.cursor or 0)
    with wiring(request).database.reading() as connection:
        found = trials.list_versions(
            connection, caller, kitchen_id, trial_id, after, asked.limit + 1
        )
    return show_page(
        request,
        asked,
        found,
        lambda page: TrialVersionList(versions=page),
        lambda entry: entry.version,
    )


@router.put(
    "/trials/{trial_id}",
    operation_id="correctTrial",
    summary="Correct a trial",
    response_model=StoredTrial,
    dependencies=[Depends(no_query)],
    **describe_storing(Trial, 404, 412, 428),
)
async def correct_trial(
    request: Request,
    kitchen_id: StoredName,
    trial_id: StoredName,
    caller: CallerId,
    expected: Expected,
) -> Response:
    """Tell a trial anew, if nobody has since the version in If-Match. What it was told to be before
    stays in its history; the kitchen learns from the newest telling alone."""

    def keep(connection: Connection, trial: Trial) -> tuple[StoredTrial, int]:
        kept = trials.correct_trial(connection, caller, kitchen_id, trial_id, expected, trial)
        return kept, kept.version

    return await store_change(request, Trial, keep)


@router.delete(
    "/trials/{trial_id}",
    operation_id="forgetTrial",
    summary="Forget a trial",
    status_code=204,
    dependencies=[Depends(no_query)],
    **describe_showing(404, 412, 428),
)
def forget_trial(
    request: Request,
    kitchen_id: StoredName,
    trial_id: StoredName,
    caller: CallerId,
    expected: Expected,
) -> None:
    """Forget a trial, so that nothing is learned from it, if nobody has corrected it since the
    version in If-Match."""
    with wiring(request).database.writing() as connection:
        trials.delete_trial(connection, caller, kitchen_id, trial_id, expected)


_FILES = {kind.partition(";")[0]: {"schema": {"type": "string"}} for kind in MEDIA_TYPES.values()}


@router.post(
    "/import",
    operation_id="importTrials",
    summary="Import trials",
    response_model=TrialImport,
    dependencies=[Depends(no_query)],
    responses=problems(401, 403, 404, 408, 413, 415, 422, 429, 503),
    openapi_extra={"requestBody": {"required": True, "content": sent_files(READERS)}},
)
async def import_kitchen_trials(
    request: Request, kitchen_id: StoredName, caller: CallerId
) -> Response:
    """Tell the trials of a file of at most 1 MB: NDJSON, a trial a line as `POST` takes it or as an
    export gives it, or CSV, a piece a row. A trial that is there already changes nothing, so a file
    may be sent twice; one with the `id` of a trial of this kitchen corrects it. What cannot be
    used, and what was baked in another kitchen, is left out and listed with the reason."""
    parts = wiring(request)
    check_coding(request)
    kind = request.headers.get("content-type", "").lower().partition(";")[0].strip()
    media_type = kind if kind in READERS else next(iter(READERS))
    body = await receive_body(request, parts.settings, media_type)

    def work() -> TrialImport:
        found = list(READERS[media_type](body))
        with parts.database.writing() as connection:
            return import_trials(connection, caller, kitchen_id, found)

    summary = await run_in_threadpool(work)
    return Response(summary.model_dump_json(), media_type="application/json")


@router.get(
    "/export",
    operation_id="exportTrials",
    summary="Export trials",
    response_class=Response,
    dependencies=[Depends(each_once)],
    responses={200: {"content": _FILES}, **describe_showing(404)["responses"]},
)
def export_kitchen_trials(
    request: Request,
    kitchen_id: StoredName,
    caller: CallerId,
    asked: Annotated[TrialFileQuery, Query()],
) -> Response:
    """Answer every trial of a kitchen as one file, which may be imported again."""
    with wiring(request).database.reading() as connection:
        find_kitchen(connection, caller, kitchen_id)
        written = "".join(WRITERS[asked.format](trials.each_trial(connection, caller, kitchen_id)))
    disposition = f'attachment; filename="trials.{asked.format}"'
    return Response(
        written,
        headers={"Content-Disposition": disposition},
        media_type=MEDIA_TYPES[asked.format],
    )
