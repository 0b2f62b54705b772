"""What the routes say of themselves in the OpenAPI document: their bodies and their problems.

Bodies are read by `service.reading.strict_json`, so FastAPI does not know them; they are named
here. The document itself is `service.http.openapi_document`.
"""

from collections.abc import Iterable
from typing import Any

from models.catalogue import NewCatalogue, NewRecipe, RecipeRevision
from models.kitchen import NewKitchen
from models.learning import InKitchen
from models.next_bake import NextBakeRequest
from models.notice import NewNotice
from models.run import RunBrief, RunTitle
from models.run_changes import ApplyRun
from models.trial import Trial
from models.value import Value
from service.http.negotiation import SVG
from service.problems import MEDIA_TYPE
from service.questions.question import Question

STORED: tuple[type[Value], ...] = (
    NewRecipe,
    RecipeRevision,
    NewCatalogue,
    NewKitchen,
    Trial,
    NextBakeRequest,
    RunBrief,
    RunTitle,
    ApplyRun,
    NewNotice,
)

_PROBLEMS = {
    400: "The body is not JSON, or is nested deeper than 32.",
    401: "The request needs a good API key.",
    403: "The request comes from another site's page, and bears no key.",
    404: "There is nothing of that name, or it is not yours.",
    408: "The body took too long to arrive.",
    409: "What is stored stands in the way, or the first request with that key is still at work.",
    412: "It has changed since the ETag in `If-Match`.",
    413: "The body is larger than 1 MB.",
    415: "The body is coded, or is not JSON in UTF-8.",
    422: "The request cannot be answered as it stands; every fault is listed in `errors`.",
    428: "A change needs `If-Match`.",
    429: "Too many requests; try again after `Retry-After` seconds.",
    500: "Something went wrong on our side, or the answer did not survive its own check.",
    503: "No worker is free, or the database is away; try again after `Retry-After` seconds.",
}
_PROBLEMS_OF_BODIES = (400, 408, 413, 415, 422, 429, 500, 503)
_PROBLEMS_OF_CALLERS = (401, 403, 429, 503)
_REF = "#/components/schemas/{model}"


def describe_question(question: Question[Any]) -> dict[str, Any]:
    """Return what a route that answers `question` says of itself."""
    pictures = {200: {"content": {SVG: {"schema": {"type": "string"}}}}} if question.picture else {}
    knows = issubclass(question.asked, InKitchen)
    of_kitchens = (*_PROBLEMS_OF_CALLERS, 404) if knows else ()
    return {
        "response_model": question.answered,
        "responses": {**pictures, **problems(*_PROBLEMS_OF_BODIES, *of_kitchens)},
        "openapi_extra": {
            "requestBody": _body(question.asked),
            **({"security": _KEY_OR_NONE} if knows else {}),
        },
    }


def describe_batch(asked: type[Value], media_type: str) -> dict[str, Any]:
    """Return what a route says of itself that answers a batch line by line."""
    lines = {
        "description": "A line for each brief, in their order; `BriefAnswer` is what each holds.",
        "content": {media_type: {"schema": {"type": "string"}}},
    }
    return {
        "responses": {200: lines, **problems(*_PROBLEMS_OF_BODIES)},
        "openapi_extra": {"requestBody": _body(asked), "security": _KEY_OR_NONE},
    }


def describe_storing(asked: type[Value], *statuses: int) -> dict[str, Any]:
    """Return what a route says of itself that stores its body; `statuses` are its own problems."""
    return {
        "responses": problems(*_PROBLEMS_OF_BODIES, *_PROBLEMS_OF_CALLERS, *statuses),
        "openapi_extra": {"requestBody": _body(asked)},
    }


def describe_showing(*statuses: int) -> dict[str, Any]:
    """Return what a route says of itself that shows what is stored."""
    return {"responses": problems(*_PROBLEMS_OF_CALLERS, 422, *statuses)}


def describe_tagged(*statuses: int) -> dict[str, Any]:
    """Return what a route says of itself that shows what has an ETag."""
    return {
        "responses": {304: _NOT_MODIFIED, **describe_showing(*statuses)["responses"]},
        "openapi_extra": {"parameters": [_IF_NONE_MATCH]},
    }


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the problem responses that a route may give."""
    schema = {"$ref": _REF.format(model="Problem")}
    return {
        status: {
            "description": _PROBLEMS[status],
            "content": {MEDIA_TYPE: {"schema": schema}},
            **({"headers": _retry_after()} if status in {429, 503} else {}),
        }
        for status in sorted(set(statuses))
    }


def sent_files(kinds: Iterable[str]) -> dict[str, Any]:
    """Return the content of a body that is a file of one of the `kinds`: text as it stands, or
    JSON-LD, an object as a rule."""
    text, linked = {"type": "string", "format": "binary"}, {"type": "object"}
    return {kind: {"schema": linked if kind.endswith("ld+json") else text} for kind in kinds}


def _body(asked: type[Value]) -> dict[str, Any]:
    schema = {"$ref": _REF.format(model=asked.__name__)}
    return {"required": True, "content": {"application/json": {"schema": schema}}}


def _retry_after() -> dict[str, Any]:
    return {"Retry-After": {"description": "Seconds to wait.", "schema": {"type": "integer"}}}


_NOT_MODIFIED = {"description": "It is still as it was at the ETag in `If-None-Match`."}
_IF_NONE_MATCH = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "schema": {"type": "string", "title": "If-None-Match"},
    "description": "The ETag of what the caller has; answered 304 while it is still that.",
}
_KEY_OR_NONE: list[dict[str, list[str]]] = [{}, {"key": []}]
"""A key is needed for a kitchen alone."""
