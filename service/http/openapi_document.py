"""The OpenAPI document whole: what the routes say of themselves, and what holds of all of them.

Added here are the schemas of bodies, a sentence for each member, the answers that any route may
give, the links from what is made to what can be done with it, and the recorded pairs.
"""

import json
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from importlib.resources import files
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic.json_schema import models_json_schema

from models.brief_batch import BriefAnswer, BriefBatch
from models.value import Value
from service.http.openapi import STORED, problems
from service.http.openapi_examples import Pairs, pairs_on_file, write_examples
from service.problems import Problem
from service.questions.question import QUESTIONS

Json = dict[str, Any]

_REF = "#/components/schemas/{model}"
_SENTENCES = "member_sentences.toml"
_OF_ANY = (500,)
_OF_COUNTED = (429, 500, 503)
"""Requests to every route but those of an operator and the front door are counted by caller."""


def document(app: FastAPI, pairs: Pairs | None = None) -> Json:
    """Return the OpenAPI document of `app` with `pairs`, those on file unless told."""
    of_routes = get_openapi(
        title=app.title,
        version=app.version,
        summary=app.summary,
        description=app.description,
        routes=app.routes,
        tags=app.openapi_tags,
        separate_input_output_schemas=False,
    )
    written = deepcopy(of_routes)  # parts of it are the routes' own
    asked = (q.asked for q in QUESTIONS)
    described: tuple[type[Value], ...] = (*asked, *STORED, BriefBatch, BriefAnswer, Problem)
    _, inputs = models_json_schema([(v, "validation") for v in described], ref_template=_REF)
    schemas = {**written["components"]["schemas"], **inputs["$defs"]}
    _describe_members(schemas)
    written["components"]["schemas"] = dict(sorted(schemas.items()))
    for path, _, operation in _operations(written):
        counted = path.startswith("/v1/")
        for status, answer in problems(*(_OF_COUNTED if counted else _OF_ANY)).items():
            operation["responses"].setdefault(str(status), answer)
        operation["responses"] = dict(sorted(operation["responses"].items()))
    _lead_on(written)
    write_examples(written, pairs_on_file() if pairs is None else pairs)
    return written


def _operations(document: Json) -> Iterator[tuple[str, str, Json]]:
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def _describe_members(schemas: Json) -> None:
    """Write what each member means beside it, where the value itself does not say."""
    sentences = tomllib.loads(files("service.http").joinpath(_SENTENCES).read_text("utf-8"))
    for value, schema in schemas.items():
        for member, described in schema.get("properties", {}).items():
            sentence = sentences.get(f"{value}.{member}", sentences.get(member))
            if sentence and "description" not in described:
                described["description"] = sentence
            _tell_default(described)


def _tell_default(described: Json) -> None:
    """Say in words what a member is where it is left out.

    As a member of the schema it would have generated clients ask for the member after all.
    """
    usual = described.pop("default", None)
    if usual not in (None, [], {}, "", 0):
        told = f"{json.dumps(usual, ensure_ascii=False)} unless told."
        described["description"] = " ".join([*filter(None, [described.get("description")]), told])


def _lead_on(document: Json) -> None:
    """Link the answer of each route that makes something to every route about what it made; what
    belongs to it and is not there yet can only be put there."""
    routes = list(_operations(document))
    not_yet = {path for path, method, _ in routes if method == "put" and path.endswith("/notice")}
    for path, method, maker in routes:
        status = next((s for s in ("201", "202") if s in maker["responses"]), None)
        if method == "post" and status is not None:
            maker["responses"][status]["links"] = {
                operation["operationId"]: _link(path, operation["operationId"], within)
                for within, done, operation in routes
                if within.startswith(f"{path}/{{") and (done == "put" or within not in not_yet)
            }


def _link(made_at: str, operation_id: str, within: str) -> Json:
    """Return the link from what was made at one address to an operation at an address within."""
    kept = {name: f"$request.path.{name}" for name in _names(made_at)}
    own = _names(within.removeprefix(made_at))[0]
    return {"operationId": operation_id, "parameters": {**kept, own: "$response.body#/id"}}


def _names(path: str) -> list[str]:
    return [part.strip("{}") for part in path.split("/") if part.startswith("{")]
