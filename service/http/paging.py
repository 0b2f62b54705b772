"""Pages: long lists in parts, each with a link to the next.

A cursor is where the last page ended. Whatever was there when the first page was asked for comes
exactly once, however much is added meanwhile.
"""

from collections.abc import Callable, Sequence
from typing import Annotated, TypeVar
from urllib.parse import urlencode

from fastapi import Request
from pydantic import ConfigDict, Field, StringConstraints
from starlette.responses import Response

from models.value import Value
from service.http.negotiation import JSON

MOST_ON_A_PAGE = 500

Entry = TypeVar("Entry")


class PageQuery(Value):
    """Which part of a list."""

    model_config = ConfigDict(strict=False)  # an address holds text only, numbers too

    limit: Annotated[int, Field(ge=1, le=MOST_ON_A_PAGE, description="At most so many.")] = 50
    cursor: Annotated[
        str,
        StringConstraints(pattern=r"^[A-Za-z0-9_-]{0,32}$"),
        Field(description="Where to go on; taken from the Link header of the page before."),
    ] = ""


class NumberedPageQuery(PageQuery):
    """Which part of a list that is in order of number."""

    cursor: Annotated[
        str,
        StringConstraints(pattern=r"^[0-9]{0,9}$"),
        Field(description="Where to go on; taken from the Link header of the page before."),
    ] = ""


def show_page(
    request: Request,
    asked: PageQuery,
    found: Sequence[Entry],
    as_list: Callable[[tuple[Entry, ...]], Value],
    cursor_of: Callable[[Entry], object],
) -> Response:
    """Return a page of what was found, which is one more than asked for where there is more."""
    page = tuple(found[: asked.limit])
    headers = {}
    if len(found) > asked.limit:
        headers["Link"] = f'<{_next(request, asked, str(cursor_of(page[-1])))}>; rel="next"'
    return Response(as_list(page).model_dump_json(), headers=headers, media_type=JSON)


def _next(request: Request, asked: PageQuery, cursor: str) -> str:
    kept = {name: value for name, value in request.query_params.items() if name != "cursor"}
    return f"{request.url.path}?{urlencode({**kept, 'limit': asked.limit, 'cursor': cursor})}"
