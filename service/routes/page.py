"""Parts of the calculator page that change in place, and the pictures and sheets it shows."""

from collections.abc import Callable
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from service.deadline import Deadline
from service.drawings.pages import PAPERS, PageSize, Paper
from service.drawings.printed_sheets import PrintedSheets
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
from service.page.rendering import render, render_help, render_part, render_sheets
from service.page.trial_bake import planned_sheet
from service.problems import NOT_FOUND, Refused
from service.questions.knowing import Knowing
from service.reading.strict_json import understand
from service.routes.home import FORM, knowing_on_page, page_of

router = APIRouter(include_in_schema=False)

PARTS: dict[str, Callable[[Fields, Deadline, Knowing], Page | MovedPage]] = {
    "understood": understood_part,
    "moved": moved_part,
}

Asked = Annotated[str, Query(alias="q")]


@router.get("/page/help")
def get_help(request: Request) -> Response:
    """Answer what the page's words mean."""
    return render_help(Fields.read(request.url.query.encode()))


@router.post("/page/bake-sheet")
async def get_bake_sheet(request: Request) -> Response:
    """Answer the sheet by which the way that is taken is tried, in true size."""

    def worked_out(fields: Fields, deadline: Deadline) -> Response:
        paper: Paper = "letter" if fields.one("do") == "letter" else "a4"
        kitchen = fields.one("kitchen")
        log = f"{request.base_url}kitchens/{kitchen}/log" if kitchen else None
        fields = fields.having({"do": (paper,)})
        planned = planned_sheet(fields, log, deadline, knowing_on_page(request))
        if isinstance(planned, Page):
            return render(planned, 422)
        return render_sheets(PrintedSheets(PageSize(*PAPERS[paper]), (planned.svg,)))

    body = await receive_body(request, wiring(request).settings, FORM)
    return await page_of(request, body, worked_out)


@router.post("/page/{part}")
async def get_part(part: str, request: Request) -> Response:
    """Answer one part of the page with what its form asks."""
    if part not in PARTS:
        raise Refused(NOT_FOUND, "The page has no part of that name.")
    wired = wiring(request)
    fields = Fields.read(await receive_body(request, wired.settings, FORM))
    return await solve(request, partial(_rendered, part, fields, knowing_on_page(request)))


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


def _rendered(part: str, fields: Fields, knowing: Knowing, deadline: Deadline) -> Response:
    return render_part(part, PARTS[part](fields, deadline, knowing))
