"""The OpenAPI document: bodies and problems described from the values themselves.

Bodies are read by `service.reading.strict_json`, so FastAPI does not know them; they are written in
here.
"""

import tomllib
from importlib.resources import files
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic.json_schema import models_json_schema

from models.brief_batch import BriefAnswer, BriefBatch
from models.catalogue import NewCatalogue, NewRecipe, RecipeRevision
from models.kitchen import NewKitchen
from models.next_bake import NextBakeRequest
from models.run import RunBrief, RunTitle
from models.run_changes import ApplyRun
from models.trial import Trial
from models.value import Value
from service.http.negotiation import SVG
from service.problems import MEDIA_TYPE, Problem
from service.questions.question import QUESTIONS, Question

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
    return {
        "response_model": question.answered,
        "responses": {**pictures, **problems(*_PROBLEMS_OF_BODIES)},
        "openapi_extra": {"requestBody": _body(question.asked)},
    }


def describe_batch(asked: type[Value], media_type: str) -> dict[str, Any]:
    """Return what a route says of itself that answers a batch line by line."""
    lines = {
        "description": "A line for each brief, in their order; `BriefAnswer` is what each holds.",
        "content": {media_type: {"schema": {"type": "string"}}},
    }
    return {
        "responses": {200: lines, **problems(*_PROBLEMS_OF_BODIES)},
        "openapi_extra": {"requestBody": _body(asked)},
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


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the problem responses that a route may give."""
    content = {MEDIA_TYPE: {"schema": {"$ref": _REF.format(model="Problem")}}}
    return {
        status: {
            "description": _PROBLEMS[status],
            "content": content,
            **({"headers": _RETRY_AFTER} if status in {429, 503} else {}),
        }
        for status in sorted(set(statuses))
    }


def _body(asked: type[Value]) -> dict[str, Any]:
    schema = {"$ref": _REF.format(model=asked.__name__)}
    return {"required": True, "content": {"application/json": {"schema": schema}}}


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
    asked = (q.asked for q in QUESTIONS)
    described: tuple[type[Value], ...] = (*asked, *STORED, BriefBatch, BriefAnswer, Problem)
    _, inputs = models_json_schema([(v, "validation") for v in described], ref_template=_REF)
    schemas = {**written["components"]["schemas"], **inputs["$defs"]}
    _describe_members(schemas)
    written["components"]["schemas"] = dict(sorted(schemas.items()))
    return written


def _describe_members(schemas: dict[str, Any]) -> None:
    """Write what each member means beside it, where the value itself does not say."""
    sentences = tomllib.loads(files("service.http").joinpath(_SENTENCES).read_text("utf-8"))
    for value, schema in schemas.items():
        for member, described in schema.get("properties", {}).items():
            sentence = sentences.get(f"{value}.{member}", sentences.get(member))
            if sentence and "description" not in described:
                described["description"] = sentence


_SENTENCES = "member_sentences.toml"
