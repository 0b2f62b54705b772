"""The OpenAPI document: bodies and problems described from the values themselves.

Bodies are read by `service.strict_json`, so FastAPI does not know them; they are written in here.
"""

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic.json_schema import models_json_schema

from models.value import Value
from service.negotiation import SVG
from service.problems import (
    MEDIA_TYPE,
    Problem,
)
from service.questions import (
    LADDER,
    RATIOS,
    READING,
    REFORMULATION,
    SECTION,
    TEMPLATE,
    WHAT_IF,
    Question,
)

ASKED: tuple[type[Value], ...] = tuple(
    question.asked
    for question in (RATIOS, REFORMULATION, WHAT_IF, READING, TEMPLATE, SECTION, LADDER)
)

_PROBLEMS = {
    400: "The body is not JSON, or is nested deeper than 32.",
    404: "There is nothing of that name.",
    408: "The body took too long to arrive.",
    413: "The body is larger than 1 MB.",
    415: "The body is coded, or is not JSON in UTF-8.",
    422: "The request cannot be answered as it stands; every fault is listed in `errors`.",
    500: "Something went wrong on our side, or the answer did not survive its own check.",
    503: "Every worker is busy, or none is ready; try again after `Retry-After` seconds.",
}
_PROBLEMS_OF_BODIES = (400, 408, 413, 415, 422, 500, 503)
_REF = "#/components/schemas/{model}"


def asking(question: Question[Any]) -> dict[str, Any]:
    """Return what a route that answers `question` says of itself."""
    schema = {"$ref": _REF.format(model=question.asked.__name__)}
    body = {"required": True, "content": {"application/json": {"schema": schema}}}
    pictures = {200: {"content": {SVG: {"schema": {"type": "string"}}}}} if question.picture else {}
    return {
        "response_model": question.answered,
        "responses": {**pictures, **problems(*_PROBLEMS_OF_BODIES)},
        "openapi_extra": {"requestBody": body},
    }


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the problem responses that a route may give."""
    content = {MEDIA_TYPE: {"schema": {"$ref": _REF.format(model="Problem")}}}
    return {
        status: {
            "description": _PROBLEMS[status],
            "content": content,
            **({"headers": _RETRY_AFTER} if status == 503 else {}),
        }
        for status in statuses
    }


_RETRY_AFTER = {
    "Retry-After": {"description": "Seconds to wait.", "schema": {"type": "integer"}},
}


def document(app: FastAPI) -> dict[str, Any]:
    """Return the OpenAPI document of `app`."""
    written = get_openapi(
        title=app.title,
        version=app.version,
        summary=app.summary,
        description=app.description,
        routes=app.routes,
        tags=app.openapi_tags,
        separate_input_output_schemas=False,
    )
    described: tuple[type[Value], ...] = (*ASKED, Problem)
    _, inputs = models_json_schema([(v, "validation") for v in described], ref_template=_REF)
    schemas = {**written["components"]["schemas"], **inputs["$defs"]}
    written["components"]["schemas"] = dict(sorted(schemas.items()))
    return written
