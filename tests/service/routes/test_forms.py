"""GET /v1/forms: the table is true of the forms that requests may state."""

import json
from xml.etree import ElementTree

import pytest
from pydantic import ValidationError

from models.form import FORMS, KINDS
from models.target import Target
from tests.models.test_template import FORMS as STATED
from tests.service.problem_checks import problem_in


@pytest.fixture(scope="module")
def table(client):
    return client.get("/v1/forms").json()


def target(kind, thickness=1.5, **changes):
    form = {"kind": kind, **STATED[kind], **changes}
    return Target.model_validate_json(json.dumps({"form": form, "thickness_mm": thickness}))


def test_every_form_stands_in_the_table(table):
    """Each kind once, with a name, a sentence and an icon that is a drawing."""
    assert [form["kind"] for form in table["forms"]] == list(KINDS)
    for form in table["forms"]:
        assert form["name"] and form["sentence"].endswith(".")
        assert ElementTree.fromstring(form["icon"]).tag.endswith("svg")


def test_every_member_stands_in_the_table(table):
    """No dimension of any form is missing, none is invented, and each has its sentence."""
    for form, shape in zip(table["forms"], FORMS, strict=True):
        members = [member["name"] for member in form["members"]]
        assert members == [name for name in shape.model_fields if name != "kind"]
        assert all(member["sentence"].endswith(".") for member in form["members"])


def test_ranges_are_those_that_are_checked(table):
    """Each end of a range is taken, and a hair beyond is refused."""
    for form in table["forms"]:
        for member in form["members"]:
            name, least, most = member["name"], member["min"], member["max"]
            for beyond in (least - 1, most + 1):
                with pytest.raises(ValidationError) as refused:
                    target(form["kind"], **{name: beyond})
                places = [error["loc"][-1] for error in refused.value.errors()]
                assert name in places
            if name not in {"base_diameter_mm", "top_diameter_mm"}:  # they bound each other too
                whole = member["unit"] == "count"
                ends = (int(least), int(most)) if whole else (least, most)
                one = {"crests": 1} if form["kind"] == "wave" else {}  # the others bound how many
                for end in ends:
                    target(form["kind"], **{**one, name: end})


def test_what_may_be_left_out_has_a_default(table):
    """A member with a default may be left out and then has it; without one it is asked for."""
    for form in table["forms"]:
        for member in form["members"]:
            stated = {"kind": form["kind"], **STATED[form["kind"]]}
            stated.pop(member["name"], None)
            body = json.dumps({"form": stated, "thickness_mm": 1.5})
            if member["default"] is None:
                with pytest.raises(ValidationError):
                    Target.model_validate_json(body)
            else:
                made = Target.model_validate_json(body).form
                assert getattr(made, member["name"]) == member["default"]


def test_units_are_said(table):
    """Millimetres, degrees, or a plain count."""
    units = {m["name"]: m["unit"] for form in table["forms"] for m in form["members"]}
    assert (units["diameter_mm"], units["wrap_degrees"], units["crests"]) == (
        "mm",
        "degrees",
        "count",
    )
    assert (table["thickness"]["min"], table["thickness"]["max"]) == (1.5, 8)


def test_the_table_takes_no_query(client):
    """A query is refused, here as elsewhere."""
    problem_in(client.get("/v1/forms?kind=cone"), 422)
