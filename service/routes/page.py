"""Parts of the calculator page that change in place, and the pictures it shows."""

import re
from base64 import b64encode
from collections.abc import Callable
from functools import partial
from hashlib import sha256
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response

from service.deadline import Deadline
from service.http.answering import solve
from service.http.bodies import receive_body
from service.http.negotiation import SVG
from service.http.wiring import wiring
from service.page.fields import Fields
from service.page.page import MovedPage, Page, moved_part, understood_part
from service.page.pictures import TEMPLATE_PATH
from service.page.rendering import render_part
from service.problems import NOT_FOUND, Refused
from service.questions.question import TEMPLATE, Question
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
    """Answer the flat piece that an address asks for, on a page in true size."""
    return await _picture(request, TEMPLATE, asked)


def _rendered(part: str, fields: Fields, deadline: Deadline) -> Response:
    return render_part(part, PARTS[part](fields, deadline))


async def _picture(request: Request, question: Question[Any], asked: str) -> Response:
    work = partial(question.draw, asked.encode(errors="replace"))
    drawn = await solve(request, work)
    headers = {"Content-Security-Policy": _policy(drawn), "Cache-Control": "private, max-age=3600"}
    return Response(drawn, headers=headers, media_type=SVG)


def _policy(drawn: bytes) -> str:
    """Return a policy that allows the drawing's own style and nothing else."""
    digests = [b64encode(sha256(own).digest()).decode() for own in _STYLE.findall(drawn)]
    sources = " ".join(f"'sha256-{digest}'" for digest in digests) or "'none'"
    return f"default-src 'none'; style-src {sources}; frame-ancestors 'none'"


_STYLE = re.compile(rb"<style>(.*?)</style>", re.DOTALL)
