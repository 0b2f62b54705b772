"""Recipes in and out of a catalogue as files, and a run's results for a shop owner to read."""

from collections.abc import Iterable, Iterator
from typing import Annotated, Any

import anyio.to_thread
from fastapi import APIRouter, Depends, Query, Request, Response
from pydantic import Field
from starlette.responses import StreamingResponse

from models.value import Value
from service.exchange.change_report import MEDIA_TYPES as REPORT_TYPES
from service.exchange.change_report import ReportForm, change_report
from service.exchange.formats import FILE_ENDINGS, MEDIA_TYPES, READERS, WRITERS, ExportForm
from service.exchange.importing import ImportSummary, import_catalogue
from service.exchange.kept import StoredShelf, findings, reformulated_entries
from service.exchange.report_page import content_security_policy
from service.http.arriving import pieces_of, reader_of
from service.http.bodies import check_coding
from service.http.callers import CallerId
from service.http.idempotency import Digest, IdempotencyKey
from service.http.openapi import describe_showing, problems, sent_files
from service.http.query_strings import each_once, no_query
from service.http.solve_pool import RETRY_AFTER_SECONDS
from service.http.storing import StoredName, response_of, store_stream
from service.http.wiring import Wiring, wiring
from service.problems import BUSY, Refused
from service.store.answered import Answered
from service.store.catalogues import find_catalogue
from service.store.runs import find_run

router = APIRouter(tags=["shop"])

BLOCK_CHARACTERS = 65_536


class ExportQuery(Value):
    """Which kind of file."""

    format: Annotated[
        ExportForm, Field(description="`ndjson` loses nothing; `csv` is for a spreadsheet.")
    ] = "ndjson"


class ReportQuery(Value):
    """How the report is written."""

    format: Annotated[
        ReportForm, Field(description="`markdown` is plain text; `html` is one page to print.")
    ] = "markdown"


def _files(kinds: Iterable[str]) -> dict[str, Any]:
    text, records = {"type": "string"}, {"type": "array", "items": {"type": "object"}}
    return {
        kind.partition(";")[0]: {"schema": records if "ld+json" in kind else text} for kind in kinds
    }


def _sending(kinds: Iterable[str]) -> dict[str, Any]:
    answers: dict[int | str, dict[str, Any]] = {200: {"content": _files(kinds)}}
    return {
        "response_class": Response,
        "dependencies": [Depends(each_once)],
        "responses": {**answers, **describe_showing(404)["responses"]},
    }


@router.post(
    "/v1/catalogues/{catalogue_id}/import",
    operation_id="importRecipes",
    summary="Import recipes",
    response_model=ImportSummary,
    dependencies=[Depends(no_query)],
    responses=problems(401, 403, 404, 408, 409, 415, 422, 429, 500, 503),
    openapi_extra={"requestBody": {"required": True, "content": sent_files(READERS)}},
)
async def import_recipes(
    request: Request, catalogue_id: StoredName, caller: CallerId, key: IdempotencyKey
) -> Response:
    """Store the recipes of a file of any size: CSV, NDJSON, schema.org/Recipe in JSON-LD or in a
    web page. A recipe that is there already under its external id gets a new version where it
    differs, so a file may be sent twice. Nothing bad in a file stops the rest of it; the answer
    says what could not be used.

    A line of NDJSON is `{"external_id", "title", "lines"}`, each of the lines a text or as in any
    recipe here, or what an export gave (`external_id`, `title`, `recipe`, `unread`, `extras`), or
    a recipe in schema.org's words. A row of CSV is a line of a recipe: `recipe`, `title`, and
    `line` or `ingredient`, `quantity`, `unit`; columns of your own are kept and exported."""
    wired = wiring(request)
    check_coding(request)
    reader = reader_of(request)
    if wired.imports.available_tokens < 1:
        raise Refused(
            BUSY,
            "As many files are on their way in as there is room for; please try again.",
            headers={"Retry-After": str(RETRY_AFTER_SECONDS)},
        )

    def work() -> tuple[Answered, bool]:
        with wired.database.reading() as connection:
            find_catalogue(connection, caller, catalogue_id)
        digest = Digest(request)
        pieces = digest.watch(pieces_of(request, wired.settings.body_seconds))

        def bring_in() -> Answered:
            shelf = StoredShelf(wired.database)
            summary = import_catalogue(shelf, caller, catalogue_id, reader(pieces))
            return Answered(200, {}, summary.model_dump_json().encode())

        if key is None:
            return bring_in(), False
        return store_stream(wired.database, caller, key, digest, pieces, bring_in)

    return response_of(*await anyio.to_thread.run_sync(work, limiter=wired.imports))


@router.get(
    "/v1/catalogues/{catalogue_id}/export",
    operation_id="exportRecipes",
    summary="Export recipes",
    **_sending(MEDIA_TYPES.values()),
)
def export_recipes(
    request: Request,
    catalogue_id: StoredName,
    caller: CallerId,
    asked: Annotated[ExportQuery, Query()],
) -> Response:
    """Answer every recipe of a catalogue as one file, which may be imported again."""
    wired = wiring(request)
    with wired.database.reading() as connection:
        find_catalogue(connection, caller, catalogue_id)
    entries = StoredShelf(wired.database).each(caller, catalogue_id)
    return _file(WRITERS[asked.format](entries), asked.format, "catalogue")


@router.get(
    "/v1/runs/{run_id}/recipes",
    operation_id="exportReformulated",
    summary="Export a run's recipes",
    **_sending(MEDIA_TYPES.values()),
)
def export_reformulated(
    request: Request, run_id: StoredName, caller: CallerId, asked: Annotated[ExportQuery, Query()]
) -> Response:
    """Answer every recipe that a run has done as one file: reformulated where there is an answer,
    else as it was."""
    wired = _run_of(request, run_id, caller)
    entries = reformulated_entries(wired.database, run_id)
    return _file(WRITERS[asked.format](entries), asked.format, "reformulated")


@router.get(
    "/v1/runs/{run_id}/report",
    operation_id="reportRun",
    summary="Report what a run changed",
    **_sending(REPORT_TYPES.values()),
)
def report_run(
    request: Request, run_id: StoredName, caller: CallerId, asked: Annotated[ReportQuery, Query()]
) -> Response:
    """Answer what moved in each recipe, by how much and why, what could not be read, and what no
    change will mend and why; the totals on top."""
    wired = _run_of(request, run_id, caller)
    report = change_report(findings(wired.database, run_id), asked.format)
    policy = {"Content-Security-Policy": content_security_policy()}
    return StreamingResponse(
        _in_blocks(report),
        headers=policy if asked.format == "html" else None,
        media_type=REPORT_TYPES[asked.format],
    )


def _run_of(request: Request, run_id: str, caller: str) -> Wiring:
    wired = wiring(request)
    with wired.database.reading() as connection:
        find_run(connection, caller, run_id)
    return wired


def _file(written: Iterator[str], form: ExportForm, name: str) -> Response:
    disposition = f'attachment; filename="{name}.{FILE_ENDINGS[form]}"'
    return StreamingResponse(
        _in_blocks(written),
        headers={"Content-Disposition": disposition},
        media_type=MEDIA_TYPES[form],
    )


def _in_blocks(written: Iterator[str]) -> Iterator[str]:
    """Yield what is `written` in pieces worth sending."""
    block, characters = [], 0
    for piece in written:
        block.append(piece)
        characters += len(piece)
        if characters >= BLOCK_CHARACTERS:
            yield "".join(block)
            block, characters = [], 0
    yield "".join(block)
