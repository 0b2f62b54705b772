"""Preconditions: which state of a thing a caller has seen, by its entity tag.

A tag is the thing's version in quotes. A change needs If-Match, so that nobody overwrites what they
have not seen; `*` says that any state will do. A read with If-None-Match is spared what it has.
"""

import re
from typing import Annotated

from fastapi import Depends, Header, Request
from starlette.responses import Response

from models.errors import BadInput, Fault, pointer
from models.value import Value
from service.http.negotiation import JSON
from service.problems import NO_PRECONDITION, Refused

_TAG = r'(?:W/)?"[\x21\x23-\x7e]*"'
_TAGS = re.compile(rf"{_TAG}(?:\s*,\s*{_TAG})*")
_VERSION = re.compile(r'"([1-9][0-9]{0,8})"')

_Given = Annotated[
    str | None, Header(alias="If-Match", description="The ETag of the state that is to change.")
]


def etag(version: int) -> str:
    """Return the entity tag of a version."""
    return f'"{version}"'


async def expected_versions(request: Request, _given: _Given = None) -> frozenset[int] | None:
    """Return the versions that a change may be of, None for any.

    Raises Refused where the request does not say, BadInput where what it says is no entity tag.
    """
    given = ",".join(request.headers.getlist("if-match")).strip()
    if not given:
        raise Refused(
            NO_PRECONDITION, "Send If-Match with the ETag of what you have seen, as a GET gives it."
        )
    if given == "*":
        return None
    if not _TAGS.fullmatch(given):
        message = 'is no entity tag; send the ETag as it came, quotes and all: "1"'
        raise BadInput([Fault(pointer=pointer(("header", "If-Match")), message=message)])
    tags = re.findall(_TAG, given)
    return frozenset(int(found[1]) for tag in tags if (found := _VERSION.fullmatch(tag)))


Expected = Annotated[frozenset[int] | None, Depends(expected_versions)]
"""The versions that a change may be of, None for any."""


def show(request: Request, value: Value, version: int) -> Response:
    """Return `value` with its entity tag, or 304 where the caller has that version."""
    headers = {"ETag": etag(version)}
    known = ",".join(request.headers.getlist("if-none-match"))
    if known.strip() == "*" or etag(version) in re.findall(r'"[^"]*"', known):
        return Response(status_code=304, headers=headers)
    return Response(value.model_dump_json(by_alias=True), headers=headers, media_type=JSON)
