"""Closed variants: every form, ratio, role, limit, outcome, rung and cost term in every table.

Adding one of them makes the type checker or a test here name each table that has to know it. The
tables themselves are checked elsewhere.
"""

import json
from pathlib import Path
from typing import get_args

import pytest

from models.brief import DEFAULT_WEIGHTS
from models.form import FORMS, KINDS
from models.form_words import MEMBERS, NAMES, SENTENCES
from models.ingredient import Role
from models.ladder import RungCode
from models.limits import MOVABLE_ROLES, LimitKind, NamedLimit
from models.outcome import Cost, Outcome
from models.pantry import pantry
from models.ratios import RATIOS, RatioName, Ratios
from models.window import RatioBounds
from models.wording import (
    COST_WORDS,
    OUTCOME_WORDS,
    RATIO_WORDS,
    CostTerm,
    OutcomeName,
    limit_name_words,
)
from service.command_line.arguments import parser
from service.command_line.template import OPTIONS
from service.drawings.icons import icon
from service.page.words import member_name
from service.questions.form_table import form_table
from service.questions.sections import SectionRequest, drawn_section
from service.questions.templates import TemplateRequest, drawn_template
from solver.ladder import TEXTURE

README = Path("README.md").read_text()
DOUGH = {
    "lines": [
        {"text": "3 cups all-purpose flour"},
        {"text": "1 cup unsalted butter"},
        {"text": "1 cup granulated sugar"},
        {"text": "1 egg"},
    ]
}
FORM = {
    "flat_round": {"diameter_mm": 90},
    "flat_panel": {"width_mm": 80, "height_mm": 120},
    "cylinder": {"diameter_mm": 80, "wrap_degrees": 150},
    "cone": {
        "base_diameter_mm": 100,
        "top_diameter_mm": 40,
        "height_mm": 120,
        "wrap_degrees": 150,
    },
    "dome": {"diameter_mm": 120, "cap_degrees": 60},
    "wave": {"crest_radius_mm": 30, "slope_degrees": 40, "crests": 2, "width_mm": 80},
    "leaning_panel": {"width_mm": 80, "height_mm": 120, "lean_degrees": 20},
}
"""One of each form, as a baker may have it."""


@pytest.fixture(scope="module")
def document(client):
    return client.get("/openapi.json").json()


@pytest.fixture(scope="module")
def page(client):
    return client.get("/", headers={"Accept": "text/html"}).text


def test_every_form_is_in_every_table():
    """Words, icons, the table of forms and the README know each form and each of its members."""
    forms = dict(zip(KINDS, FORMS, strict=True))
    assert set(NAMES) == set(SENTENCES) == set(MEMBERS) == set(FORM) == set(KINDS)
    assert [row.kind for row in form_table().forms] == list(KINDS)
    for kind, form in forms.items():
        assert set(MEMBERS[kind]) == set(form.model_fields) - {"kind"}
        assert "<svg" in icon(kind)
        assert f"{NAMES[kind].lower().split()[-1]}s" in README
        for member in MEMBERS[kind]:
            assert member_name(member)
            assert member in OPTIONS


@pytest.mark.parametrize("kind", KINDS)
def test_every_form_is_drawn_and_estimated(kind):
    """Each has a flat piece with its drawing, and a section with a chance that is no certainty."""
    target = {"form": {"kind": kind, **FORM[kind]}, "thickness_mm": 4}
    request = TemplateRequest.model_validate_json(json.dumps({"target": target}))
    assert drawn_template(request).template.area_mm2 > 0
    states = {"states": [{"recipe": DOUGH, "target": target}]}
    drawn = drawn_section(SectionRequest.model_validate_json(json.dumps(states)))
    assert "<svg" in drawn.svg
    assert 0 < drawn.states[0].chance.percent < 100


@pytest.mark.parametrize("kind", KINDS)
def test_every_form_is_on_the_page_in_the_shell_and_in_the_document(kind, page, document):
    """A form can be chosen everywhere, by the same name."""
    assert f'value="{kind}"' in page
    schemas = document["components"]["schemas"].values()
    kinds = [schema.get("properties", {}).get("kind", {}) for schema in schemas]
    assert kind in [described.get("const") for described in kinds]
    typed = ["template", "--form", kind, "--thickness", "4"]
    assert parser().parse_args(typed).kind == kind


def test_every_ratio_is_in_every_table(document, page):
    """Sums, words, answers, bounds, the document, the page and the README know each ratio."""
    ratios = set(get_args(RatioName))
    schemas = document["components"]["schemas"]
    assert set(RATIOS) == set(RATIO_WORDS) == set(Ratios.model_fields) == ratios
    assert ratios == set(RatioBounds.model_fields)
    for name in ("Ratios", "Window", "Limits"):
        assert ratios <= set(schemas[name]["properties"])
    for ratio in ratios:
        assert f"`{ratio}`" in README
        assert RATIO_WORDS[ratio].title in page


def test_every_role_is_in_every_table(document):
    """Some ingredient has each role; roles that move have a weight, and the README names it."""
    roles = set(get_args(Role))
    assert {ingredient.role for ingredient in pantry()} == roles
    assert set(DEFAULT_WEIGHTS) == set(MOVABLE_ROLES)
    for role, weight in DEFAULT_WEIGHTS.items():
        assert f"{role} {weight:g}" in README
    enum = document["components"]["schemas"]["IngredientEntry"]["properties"]["role"]["enum"]
    assert set(enum) == roles


@pytest.mark.parametrize("kind", get_args(LimitKind))
def test_every_kind_of_limit_has_words(kind):
    """A limit of each kind is said in words that a baker knows."""
    limit = NamedLimit(limit="some.max", kind=kind, subject="egg_percent", side="max")
    assert limit_name_words(limit)


def test_every_outcome_rung_and_cost_term_has_words(document):
    """What an answer may be called or be made of is said in words, and told in the README."""
    outcome = Outcome.model_fields["outcome"].annotation
    assert set(get_args(outcome)) == set(get_args(OutcomeName)) == set(OUTCOME_WORDS)
    assert set(TEXTURE) == set(get_args(RungCode))
    enum = document["components"]["schemas"]["Rung"]["properties"]["code"]["enum"]
    assert set(enum) == set(TEXTURE)
    terms = set(Cost.model_fields) - {"total"}
    assert terms == set(get_args(CostTerm)) == set(COST_WORDS)
    for name in {*OUTCOME_WORDS, *terms}:
        assert f"`{name}`" in README
