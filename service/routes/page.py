"""Parts of the calculator page that change in place, and the pictures it shows."""

from collections.abc import Callable
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from service.deadline import Deadline
from service.http.answering import solve
from service.http.bodies import receive_body
from service.http.negotiation import SVG
from service.http.wiring import wiring
from service.page.fields import Fields
from service.page.page import MovedPage, Page, moved_part, understood_part
from service.page.pictures import (
    CODE_PATH,
    MOST_CODED_CHARACTERS,
    TEMPLATE_PATH,
    Printing,
    drawn_code,
    printed_template,
)
from service.page.rendering import render_part, render_sheets
from service.problems import NOT_FOUND, Refused
from service.reading.strict_json import understand
from service.routes.home import FORM

router = APIRouter(include_in_schema=False)

PARTS: dict[str, Callable[[Fields, Deadline], Page | MovedPage]] = {
    "understood": understood_part,
    "moved": moved_part,
}

Asked = Annotated[str, Query(alias="q")]


@router.post("/page/{part}")
async def get_part(part: str, request: Request) -> Response:
    """Answer one part of the page with what its form asks."""
    if part not in PARTS:
        raise Refused(NOT_FOUND, "The page has no part of that name.")
    wired = wiring(request)
    fields = Fields.read(await receive_body(request, wired.settings, FORM))
    return await solve(request, partial(_rendered, part, fields))


@router.get(TEMPLATE_PATH)
async def get_template(request: Request, asked: Asked) -> Response:
    """Answer the flat piece that an address asks for, as pages in true size."""
    return await solve(request, partial(_printed, asked.encode(errors="replace")))


def _printed(asked: bytes, _: Deadline) -> Response:
    return render_sheets(printed_template(understand(asked, Printing)))


@router.get(CODE_PATH)
async def get_code(request: Request) -> Response:
    """Answer the code that leads to the page with the same fields."""
    query = request.url.query[: MOST_CODED_CHARACTERS + 1]
    if len(query) > MOST_CODED_CHARACTERS:
        raise Refused(NOT_FOUND, "An address as long as this has no code; copy it instead.")
    drawn = drawn_code(f"{request.base_url}?{query}#answer")
    headers = {"Content-Security-Policy": "default-src 'none'"}
    return Response(drawn, headers=headers, media_type=SVG)


def _rendered(part: str, fields: Fields, deadline: Deadline) -> Response:
    return render_part(part, PARTS[part](fields, deadline))
