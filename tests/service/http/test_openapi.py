"""The OpenAPI document: complete, consistent, and true of the app."""

import json
import re
import tomllib
from importlib.resources import files

import jsonschema_rs
import pytest

from openapi_examples.record import HERE

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


def test_what_is_served_is_what_is_on_file(document):
    """The document that anyone can read without starting a service is the one that it serves."""
    assert document == json.loads((HERE / "openapi.json").read_text())


def test_every_operation_has_a_recorded_pair(document):
    """What is sent and what comes back stands beside each; of a deletion, what is sent."""
    for path, method, operation in operations(document):
        answers = operation["responses"]
        media = [m for s in answers if s < "3" for m in answers[s].get("content", {}).values()]
        if "204" in answers and method == "delete":
            media = operation["parameters"]
        assert any("examples" in each for each in media), (method, path)
        for sent in operation.get("requestBody", {}).get("content", {}).values():
            if "application/json" in operation["requestBody"]["content"]:
                assert "examples" in sent, (method, path)


def test_every_refusal_is_recorded(document):
    """Each status that a caller may meet is shown by a pair, but for faults of our own."""
    shown, told = set(), set()
    for _, _, operation in operations(document):
        for status, answer in operation["responses"].items():
            told.add(status)
            if any("examples" in media for media in answer.get("content", {}).values()):
                shown.add(status)
    assert told - shown == {"204", "304", "500"}


def test_recorded_bodies_are_as_described(document):
    """Every recorded body, sent or answered, is valid by the schema that it stands under; what
    is refused need not be."""
    checked = 0
    for path, method, operation in operations(document):
        answered = [answer.get("content", {}) for answer in operation["responses"].values()]
        refused = {
            name
            for status, answer in operation["responses"].items()
            for media in answer.get("content", {}).values()
            for name in media.get("examples", {})
            if status >= "4"
        }
        sent = operation.get("requestBody", {}).get("content", {})
        for described in (each for content in (sent, *answered) for each in content.values()):
            schema = {**described["schema"], "components": document["components"]}
            valid = jsonschema_rs.validator_for(schema)
            for name, example in described.get("examples", {}).items():
                if name in refused and described in sent.values():
                    continue
                faults = [f"{e.instance_path}: {e}" for e in valid.iter_errors(example["value"])]
                assert not faults, (method, path, name, faults[:3])
                checked += 1
    assert checked > 80


def test_what_is_made_leads_on(document):
    """From each answer that makes something links lead to every operation about it, by its id."""
    by_id = {operation["operationId"]: operation for _, _, operation in operations(document)}
    linked = set()
    for _, _, operation in operations(document):
        for answer in operation["responses"].values():
            for link in answer.get("links", {}).values():
                taken = by_id[link["operationId"]]["parameters"]
                in_path = {each["name"] for each in taken if each["in"] == "path"}
                assert set(link["parameters"]) <= in_path
                linked.add(link["operationId"])
    assert {"getRecipe", "deleteRun", "importRecipes", "correctTrial"} <= linked


def test_every_parameter_is_described(document):
    """What stands in an address or a header is told in a sentence."""
    for path, _, operation in operations(document):
        for parameter in operation.get("parameters", ()):
            assert parameter.get("description", "").endswith("."), (path, parameter["name"])


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
