"""The OpenAPI document: complete, consistent, and true of the app."""

import re
import tomllib
from importlib.resources import files

import pytest

POSTED = [
    "/v1/ratios",
    "/v1/reformulations",
    "/v1/what-if",
    "/v1/readings",
    "/v1/templates",
    "/v1/sections",
    "/v1/ladders",
]


@pytest.fixture(scope="module")
def document(client):
    return client.get("/openapi.json").json()


def operations(document):
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def test_every_operation_is_described(document):
    """Each has a summary, a description, a tag that is explained, and an id of its own."""
    explained = {tag["name"] for tag in document["tags"]}
    ids = []
    for path, _, operation in operations(document):
        assert operation["summary"], path
        assert operation["description"], path
        assert set(operation["tags"]) <= explained
        ids.append(operation["operationId"])
    assert len(set(ids)) == len(ids)
    assert {"weigh", "reformulate", "judgeEdits", "readText"} <= set(ids)


def test_every_member_is_a_sentence(document):
    """Each member of each value says what it means; a length, a mass or a share names its unit."""
    units = {"_mm": "millimetre", "_degrees": "degrees", "_cm3": "cubic centimetre"}
    for name, schema in document["components"]["schemas"].items():
        for member, described in schema.get("properties", {}).items():
            sentence = described.get("description", "")
            assert sentence.endswith((".", "?")), f"{name}.{member}: {sentence!r}"
            for ending, unit in units.items():
                if member.endswith(ending):
                    assert unit in sentence, f"{name}.{member} does not name its unit"


def test_no_sentence_is_of_a_member_that_is_gone(document):
    """Each sentence on file is used; a renamed member takes its sentence along."""
    file = files("service.http").joinpath("member_sentences.toml").read_text("utf-8")
    schemas = document["components"]["schemas"]
    named = {f"{v}.{m}" for v, schema in schemas.items() for m in schema.get("properties", {})}
    named |= {name.partition(".")[2] for name in named}
    assert set(tomllib.loads(file)) <= named


def test_every_reference_leads_somewhere(document):
    """Each $ref names a schema of the document."""
    named = set(re.findall(r"#/components/schemas/([^'\"]+)", str(document)))
    assert named == named & set(document["components"]["schemas"])


@pytest.mark.parametrize("path", POSTED)
def test_bodies_and_answers_are_described(document, path):
    """A POST takes JSON, answers JSON, and refuses with problems."""
    operation = document["paths"][path]["post"]
    assert operation["requestBody"]["required"] is True
    assert "$ref" in operation["requestBody"]["content"]["application/json"]["schema"]
    assert "$ref" in operation["responses"]["200"]["content"]["application/json"]["schema"]
    for status in ("400", "413", "415", "422", "500", "503"):
        content = operation["responses"][status]["content"]
        assert content["application/problem+json"]["schema"]["$ref"].endswith("/Problem")
    assert "Retry-After" in operation["responses"]["503"]["headers"]


def test_fastapi_describes_no_errors_of_its_own(document):
    """The framework's own error schemas, which are never sent, are left out."""
    assert "HTTPValidationError" not in document["components"]["schemas"]


def test_members_are_closed(document):
    """What a caller sends is described as refusing unknown members."""
    for name in ("Brief", "Recipe", "Limits", "Window", "WhatIf", "RecipeToWeigh", "RecipeText"):
        assert document["components"]["schemas"][name]["additionalProperties"] is False


def test_what_is_answered_is_what_is_described(client, document, lantern):
    """The members of a real answer are those of its schema."""
    answer = client.post("/v1/reformulations", json=lantern).json()
    assert set(answer) == set(document["components"]["schemas"]["Outcome"]["properties"])
