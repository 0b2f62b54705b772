"""The front door: the calculator page for a person, and where to look next for a program."""

import logging
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from fastapi import APIRouter, Request, Response
from starlette.concurrency import run_in_threadpool

from models.errors import BadInput, Fault, FormholdError, RecheckFailed
from models.learning import Taught
from models.value import Value
from service.deadline import Deadline
from service.http.answering import knowing_of, solve
from service.http.bodies import receive_body
from service.http.callers import caller, known_holder
from service.http.negotiation import HTML, JSON, prefers_page
from service.http.openapi import problems
from service.http.wiring import wiring
from service.page.fields import Fields
from service.page.page import Page, whole_page
from service.page.rendering import STATIC, render, static_file
from service.page.words import first_upper
from service.problems import CLIENT_GONE, NOT_FOUND, Refused, problem_of
from service.questions.knowing import Knowing
from service.store.database import DatabaseUnusable
from service.store.kitchens import list_kitchens

log = logging.getLogger("formhold.page")

router = APIRouter(tags=["reference"])

FORM = "application/x-www-form-urlencoded"

MOST_KITCHENS = 100
"""That the page offers, the oldest first."""


_TEXT = {"schema": {"type": "string"}}
_A_PAGE: dict[str, Any] = {HTML: _TEXT}


def _refusals(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the problems that a page may be answered with, told in the page itself."""
    told = problems(*statuses)
    return {status: {**problem, "content": _A_PAGE} for status, problem in told.items()}


class Home(Value):
    """Where to look next."""

    service: str = "formhold"
    openapi: str = "/openapi.json"
    health: str = "/readyz"


@router.get(
    "/",
    operation_id="getHome",
    summary="Where to look next",
    response_model=Home,
    responses={200: {"content": _A_PAGE}, **_refusals(422, 429, 500, 503)},
)
async def get_home(request: Request) -> Response:
    """Answer the addresses to begin with; a browser gets the calculator page."""
    asks = bool(request.url.query)
    if not asks and not prefers_page(",".join(request.headers.getlist("accept"))):
        return Response(Home().model_dump_json(), headers={"Vary": "Accept"}, media_type=JSON)
    return await _page(request, request.url.query.encode())


@router.post(
    "/",
    operation_id="askPage",
    summary="Ask by the page's form",
    response_class=Response,
    responses={200: {"content": _A_PAGE}, **_refusals(408, 413, 415, 422, 429, 500, 503)},
    openapi_extra={"requestBody": {"required": True, "content": {FORM: _TEXT}}},
)
async def post_home(request: Request) -> Response:
    """Answer the calculator page with what its form asks; what goes wrong stands in the page."""
    try:
        body = await receive_body(request, wiring(request).settings, FORM)
    except Refused as refused:
        return _refused(Fields(), refused)
    return await _page(request, body)


@router.get("/page/{name}", include_in_schema=False)
async def get_static(name: str) -> Response:
    """Answer one of the files that the page asks for; their addresses change with them."""
    if name not in STATIC:
        raise Refused(NOT_FOUND, "The page has no file of that name.")
    headers = {"Cache-Control": "public, max-age=31536000, immutable"}
    return Response(static_file(name), headers=headers, media_type=STATIC[name])


def knowing_on_page(request: Request) -> Knowing:
    """Return who tells what a kitchen has learned; one that is not the visitor's is a fault."""
    knowing = knowing_of(request)

    def known(kitchen_id: str) -> Taught:
        try:
            return knowing(kitchen_id)
        except Refused:
            fault = Fault(pointer="/kitchen", message="belongs to a key")
            raise BadInput([fault]) from None

    return known


async def page_of(
    request: Request, typed: bytes, worked_out: Callable[[Fields, Deadline], Response]
) -> Response:
    """Return what is `worked_out` of what was typed, a page; what goes wrong stands in it, and
    nothing typed is lost."""
    wired, fields = wiring(request), Fields()
    try:
        fields = Fields.read(typed)
        if fields.typed:  # a fresh page costs nothing
            address = request.client.host if request.client else ""
            await run_in_threadpool(wired.rates.count, None, address)
        return await solve(request, partial(worked_out, fields))
    except FormholdError as error:
        if isinstance(error, Refused) and error.problem.status == CLIENT_GONE.status:
            raise
        return _refused(fields, error)


async def _page(request: Request, typed: bytes) -> Response:
    def worked_out(fields: Fields, deadline: Deadline) -> Response:
        page = whole_page(fields, deadline, knowing_on_page(request))
        kitchens = () if fields.one("embed") else _kitchens(request)
        return render(replace(page, kitchens=kitchens, origin=str(request.base_url)))

    return await page_of(request, typed, worked_out)


def _kitchens(request: Request) -> tuple[tuple[str, str], ...]:
    """Return the kitchens of whoever asks, none where that cannot be told."""
    try:
        owner = caller(request, known_holder(request), None)
        with wiring(request).database.reading() as connection:
            found = list_kitchens(connection, owner, "", MOST_KITCHENS)
    except (Refused, DatabaseUnusable):
        return ()
    return tuple((kitchen.id, kitchen.name) for kitchen in found)


def _refused(fields: Fields, error: FormholdError) -> Response:
    problem = problem_of(error)
    if isinstance(error, RecheckFailed):
        log.error("answer withheld: %s", error)
    headers = error.headers if isinstance(error, Refused) else None
    notice = f"{problem.title}. {problem.detail}"
    if isinstance(error, BadInput):
        notice = "; ".join(first_upper(fault.message) for fault in error.faults) + "."
    return render(Page(fields, notice=notice), problem.status, headers)
