"""POST /v1/templates: the piece to cut, its dough and its drawing."""

import math
from xml.etree import ElementTree

import pytest

from tests.service.problem_checks import problem_in

CYLINDER = {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 170}
TARGET = {"form": CYLINDER, "thickness_mm": "1/8 in"}


def ask(client, accept=None, **request):
    headers = {"Accept": accept} if accept else {}
    return client.post("/v1/templates", json={"target": TARGET, **request}, headers=headers)


def faults(answer):
    return {f["pointer"]: f["message"] for f in problem_in(answer, 422)["errors"]}


def test_a_template_is_answered_with_its_dough_and_its_drawing(client):
    """Inches become millimetres, and a dozen pieces take a dozen doughs and 15 % more."""
    answer = ask(client, pieces=12).json()
    assert answer["target"]["form"]["diameter_mm"] == 69.85
    piece = answer["template"]
    round_form = (69.85 / 2 + 3.175 / 2) * math.radians(170)
    assert piece["width_mm"] == pytest.approx(round_form)
    each = round_form * 100 * 3.175 / 1000 * 1.26
    assert piece["dough_grams_per_piece"] == pytest.approx(each)
    assert answer["dough_grams"] == pytest.approx(12 * each * 1.15)
    assert answer["density_g_per_cm3"] == 1.26
    assert "Chevallier 2000" in answer["density_source"]
    assert ElementTree.fromstring(answer["svg"]).get("width") == "210mm"
    assert {caution["code"] for caution in answer["cautions"]} >= {"hot_form", "supports"}


def test_the_drawing_alone_is_the_same_to_the_byte(client):
    """Who would rather have SVG gets the very drawing that stands in the JSON."""
    alone = ask(client, accept="image/svg+xml")
    assert alone.status_code == 200
    assert alone.headers["content-type"] == "image/svg+xml"
    assert alone.content == ask(client).json()["svg"].encode()


def test_json_is_what_is_sent_where_nothing_else_is_asked(client):
    """Caches are told that the answer depends on Accept, and a tie goes to JSON."""
    answer = ask(client, accept="application/json, image/svg+xml")
    assert answer.headers["content-type"] == "application/json"
    assert "Accept" in answer.headers["vary"]


def test_faults_are_problems_whatever_was_asked_for(client):
    """A caller who wants a picture gets a problem document where there is none to draw."""
    answer = ask(client, accept="image/svg+xml", pieces=0)
    assert faults(answer) == {"/pieces": "must be between 1 and 10000 pieces"}


def test_a_density_of_ones_own_is_said_to_be(client):
    """The dough is weighed by it, and its source is the request."""
    light, usual = ask(client, density_g_per_cm3=1.0).json(), ask(client).json()
    assert light["dough_grams"] == pytest.approx(usual["dough_grams"] / 1.26)
    assert light["density_source"] == "the request"


def test_letter_paper(client):
    """The drawing is a page of the paper asked for."""
    svg = ask(client, paper="letter").json()["svg"]
    assert ElementTree.fromstring(svg).get("viewBox") == "0 0 215.9 279.4"


def test_a_drawing_has_no_words_of_the_caller(client):
    """What is not a dimension is refused, so that nothing strange can reach the page."""
    hostile = '"/><script>alert(1)</script>'
    answer = client.post(
        "/v1/templates",
        json={"target": {"form": {**CYLINDER, "kind": hostile}, "thickness_mm": hostile}},
    )
    assert set(faults(answer)) == {"/target/form/kind", "/target/thickness_mm"}


@pytest.mark.parametrize(
    ("request_", "pointer", "says"),
    [
        ({"pieces": 10_001}, "/pieces", "between 1 and 10000"),
        ({"pieces": 1.5}, "/pieces", "whole number"),
        ({"trimmings_percent": 101}, "/trimmings_percent", "between 0 and 100"),
        ({"trimmings_percent": -1}, "/trimmings_percent", "between 0 and 100"),
        ({"density_g_per_cm3": 0.9}, "/density_g_per_cm3", "between 1 and 1.5 g/cm³"),
        ({"density_g_per_cm3": 1.6}, "/density_g_per_cm3", "between 1 and 1.5 g/cm³"),
        ({"paper": "a3"}, "/paper", "'a4' or 'letter'"),
        ({"colour": "red"}, "/colour", "not known here"),
    ],
)
def test_what_is_out_of_range_is_told_the_range(client, request_, pointer, says):
    """Each member that cannot be has one fault that says what it may be."""
    assert says in faults(ask(client, **request_))[pointer]


@pytest.mark.parametrize(
    ("form", "thickness", "pointer", "says"),
    [
        ({"wrap_degrees": 360}, 3, "/target/form/wrap_degrees", "between 10 and 240 degrees"),
        ({"diameter_mm": -80}, 3, "/target/form/diameter_mm", "between 20 and 1000 mm"),
        ({"diameter_mm": 1e9}, 3, "/target/form/diameter_mm", "between 20 and 1000 mm"),
        ({}, 12, "/target/thickness_mm", "between 1.5 and 8 mm"),
        ({}, 0, "/target/thickness_mm", "between 1.5 and 8 mm"),
        ({}, "3/16", "/target/thickness_mm", "with its unit"),
    ],
)
def test_a_form_that_no_sheet_holds_is_told_the_range(client, form, thickness, pointer, says):
    """Wraps that close, sizes no oven has and sheets too thick to bend say what would do."""
    target = {"form": {**CYLINDER, **form}, "thickness_mm": thickness}
    assert says in faults(ask(client, target=target))[pointer]


def test_a_cone_that_closes_is_told_the_range(client):
    """A cone wrapped right round needs a seam; as far as 330 degrees it does not."""
    cone = {
        "kind": "cone",
        "base_diameter_mm": 90,
        "top_diameter_mm": 30,
        "height_mm": 120,
        "wrap_degrees": 360,
    }
    told = faults(ask(client, target={"form": cone, "thickness_mm": 3}))
    assert "between 10 and 330 degrees" in told["/target/form/wrap_degrees"]


def test_all_faults_come_at_once(client):
    """Form, thickness and pieces are mended in one go."""
    target = {"form": {**CYLINDER, "wrap_degrees": 0}, "thickness_mm": 90}
    assert set(faults(ask(client, target=target, pieces=-1))) == {
        "/target/form/wrap_degrees",
        "/target/thickness_mm",
        "/pieces",
    }


def test_a_template_without_a_target_is_a_fault(client):
    """There is nothing to cut for."""
    assert set(faults(client.post("/v1/templates", json={}))) == {"/target"}


def test_a_query_is_refused(client):
    """The address takes no query, here as elsewhere."""
    answer = client.post("/v1/templates?paper=letter", json={"target": TARGET})
    assert set(faults(answer)) == {"/query/paper"}


def test_the_document_names_both_answers(client):
    """OpenAPI tells of the JSON and of the picture."""
    operation = client.get("/openapi.json").json()["paths"]["/v1/templates"]["post"]
    assert set(operation["responses"]["200"]["content"]) == {"application/json", "image/svg+xml"}
    assert operation["requestBody"]["content"]["application/json"]["schema"]["$ref"].endswith(
        "/TemplateRequest"
    )
