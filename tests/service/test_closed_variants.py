"""Closed variants: every form, ratio, role, limit, outcome, rung and cost term in every table.

Adding one of them makes the type checker or a test here name each table that has to know it. The
tables themselves are checked elsewhere.
"""

import ast
import json
import re
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import get_args

import pytest

from models.brief import DEFAULT_WEIGHTS
from models.errors import UNION_TAG_MARK
from models.form import FORMS, KINDS, Form
from models.form_words import MEMBERS, NAMES, SENTENCES
from models.ingredient import Role
from models.ladder import RungCode
from models.limits import MOVABLE_ROLES, LimitKind, Limits, NamedLimit
from models.measures import Part
from models.outcome import Cost, Outcome
from models.pantry import known_pantry
from models.ratios import RATIOS, RatioName, Ratios, masses_per_gram
from models.window import RatioBounds
from models.wording import (
    COST_WORDS,
    OUTCOME_WORDS,
    RATIO_WORDS,
    CostTerm,
    OutcomeName,
    limit_name_words,
)
from openapi_examples.cases import CASES
from service.command_line.arguments import parser
from service.drawings.icons import _STROKES
from service.page.fields import DEFAULTS
from service.page.words import MEMBERS as NAMED_MEMBERS
from service.questions.form_table import form_table
from service.questions.question import QUESTIONS
from service.questions.sections import SectionRequest, drawn_section
from service.questions.templates import TemplateRequest, drawn_template
from solver.answers.recheck.chance import _made_of
from solver.answers.recheck.cost import WEIGHTS
from solver.answers.recheck.sums import ratios_again
from solver.answers.rung import TEXTURE
from solver.mechanics.dough import substances_per_gram

README = Path("README.md").read_text()
CODE = ("models", "solver", "service")
OPEN_ENDED = {
    "service/http/store_problems.py": "errors, which may have kinds that nobody foresaw",
    "service/problems.py": "errors, which may have kinds that nobody foresaw",
    "service/page/faults.py": "paths into a request",
}
"""Files that match what is no closed set, and what it is."""
UNIT = re.compile("_(mm|degrees)$")
TAGS = [get_args(variant)[1] for variant in get_args(get_args(Form)[0])]
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
FLOUR = known_pantry().find("all-purpose flour")
UNMOVED = {
    "flavour": "Flavours",
    "salt": "salt",
    "acid": "acids",
    "cocoa": "cocoa",
    "inclusion": "inclusions",
}
"""Roles that never move unless told, by the contract, and how the README says so."""
WETS = {"liquid", "egg", "syrup"}
SOLIDS = {"flour", "cocoa"}
FLOWS = {"fat", "sugar", "syrup", "egg", "liquid", "acid"}
INERT = {"leavener", "salt", "flavour", "inclusion"}
"""What each role is to the ratios and in the oven, by the contract and the model of the sheet."""


@pytest.fixture(scope="module")
def document(client):
    return client.get("/openapi.json").json()


@pytest.fixture(scope="module")
def page(client):
    return client.get("/", headers={"Accept": "text/html"}).text


def hold_alike(tables: dict[str, Iterable[str]], known: Iterable[str]) -> None:
    """Name every file whose table lacks something or has too much."""
    odd = {file: sorted(set(table) ^ set(known)) for file, table in tables.items()}
    named = [f"{file}: {', '.join(names)}" for file, names in odd.items() if names]
    assert not named, "to be brought in line:\n" + "\n".join(named)


def in_readme(words: dict[str, str]) -> set[str]:
    """Return the keys of those words that the README has."""
    return {name for name, said in words.items() if said in README}


def test_every_match_is_closed():
    """Each choice among variants ends in assert_never, so that the type checker names it."""
    open_ended = set()
    for file in sorted(file for folder in CODE for file in Path(folder).rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Match) and "assert_never" not in ast.unparse(node.cases[-1]):
                open_ended.add(str(file))
    assert open_ended == set(OPEN_ENDED)


def test_every_form_is_in_every_table():
    """Words, icons, the table of forms and the README know each form and each of its members."""
    tables = {
        "models/form.py Form": [str(tag.tag).removeprefix(UNION_TAG_MARK) for tag in TAGS],
        "models/form_words.py NAMES": NAMES,
        "models/form_words.py SENTENCES": SENTENCES,
        "models/form_words.py MEMBERS": MEMBERS,
        "service/drawings/icons.py": _STROKES,
        "README.md": in_readme({kind: f"{kind.split('_')[-1]}s" for kind in KINDS}),
        "this file": FORM,
    }
    hold_alike(tables, KINDS)
    assert [row.kind for row in form_table().forms] == list(KINDS)
    members = [
        (kind, member)
        for kind, form in zip(KINDS, FORMS, strict=True)
        for member in set(form.model_fields) - {"kind"}
    ]
    tables = {
        "models/form_words.py MEMBERS": [f"{k}.{m}" for k in MEMBERS for m in MEMBERS[k]],
        "service/page/fields.py DEFAULTS": [name for name in DEFAULTS if "." in name],
    }
    hold_alike(tables, [f"{kind}.{member}" for kind, member in members])
    names = {member for _, member in members}
    named = {member for member in names if UNIT.sub("", member) in NAMED_MEMBERS}
    hold_alike({"service/page/words.py MEMBERS": named}, names)


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
    ratios: tuple[RatioName, ...] = get_args(RatioName)
    schemas = document["components"]["schemas"]
    typed = vars(parser().parse_args(["reformulate", "dough.txt"]))
    not_ratios = {"crack_chance_percent", *Limits.model_fields} - set(RatioBounds.model_fields)
    tables = {
        "models/ratios.py RATIOS": RATIOS,
        "models/ratios.py Ratios": Ratios.model_fields,
        "models/window.py RatioBounds": RatioBounds.model_fields,
        "models/wording.py": RATIO_WORDS,
        "solver/answers/recheck/sums.py": ratios_again([Part(FLOUR, Fraction(1))], 0.25),
        "service/command_line/arguments.py": set(ratios) & set(typed),
        "openapi_examples Window": set(schemas["Window"]["properties"]) - not_ratios,
        "openapi_examples Limits": set(schemas["Limits"]["properties"]) - not_ratios,
        "service/page": {r for r in RATIO_WORDS if RATIO_WORDS[r].title in page},
        "README.md": in_readme({ratio: f"`{ratio}`" for ratio in ratios}),
    }
    hold_alike(tables, ratios)


def test_every_role_is_in_every_table(document):
    """Some ingredient has each role; roles that move have a weight, and the README names it."""
    entry = document["components"]["schemas"]["IngredientEntry"]["properties"]["role"]["enum"]
    tables = {
        "models/ingredient_data": {ingredient.role for ingredient in known_pantry()},
        "openapi_examples IngredientEntry": entry,
        "models/limits.py MOVABLE_ROLES, or the README's words on what never moves": {
            *MOVABLE_ROLES,
            *in_readme(UNMOVED),
        },
    }
    hold_alike(tables, get_args(Role))
    weighted = {role: f"{role} {weight:g}" for role, weight in DEFAULT_WEIGHTS.items()}
    weights = {
        "models/brief.py": DEFAULT_WEIGHTS,
        "solver/answers/recheck/cost.py": WEIGHTS,
        "README.md": in_readme(weighted),
    }
    hold_alike(weights, MOVABLE_ROLES)


@pytest.mark.parametrize("role", get_args(Role))
def test_every_role_is_weighed(role):
    """What counts as wet, as solid and as flowing does so in the sums, the oven and the re-check;
    each role is solid, flows or does nothing."""
    assert [role in kinds for kinds in (SOLIDS, FLOWS, INERT)].count(True) == 1, "this file"
    for ingredient in (each for each in known_pantry() if each.role == role):
        sums, made_of = masses_per_gram(ingredient, 0.25), substances_per_gram(ingredient)
        again = ratios_again([Part(FLOUR, Fraction(1)), Part(ingredient, Fraction(1))], 0.25)
        assert sums.liquid == again["liquid_per_flour"] * (1 + sums.flour) == (role in WETS)
        brings = {name: getattr(made_of, name) for name in ("solids", "fat", "sugars", "water")}
        told = _made_of([Part(ingredient, Fraction(1))])
        assert {name: told[name] for name in brings} == pytest.approx(brings), ingredient.name
        if ingredient.flour_like is None:
            solids = brings.pop("solids")
            assert bool(solids) == (role in SOLIDS), ingredient.name
            composition = ingredient.fat_share, ingredient.sugars_share, ingredient.water_share
            flows = role in FLOWS and any(composition)
            assert role in SOLIDS or any(brings.values()) == flows, ingredient.name


@pytest.mark.parametrize("kind", get_args(LimitKind))
def test_every_kind_of_limit_has_words(kind):
    """A limit of each kind is said in words that a baker knows."""
    limit = NamedLimit(limit="some.max", kind=kind, subject="egg_percent", side="max")
    assert limit_name_words(limit)


def test_every_question_is_shown():
    """Each has a recorded request and answer, and a place in the README."""
    tables = {
        "openapi_examples/cases.py": {case.path for case in CASES},
        "README.md": in_readme({question.path: question.path for question in QUESTIONS}),
    }
    asked = [question.path for question in QUESTIONS]
    hold_alike({file: set(asked) & set(table) for file, table in tables.items()}, asked)


def test_every_outcome_has_words():
    """What an answer may be is said in words, and told in the README."""
    outcomes = get_args(OutcomeName)
    tables = {
        "models/outcome.py": get_args(Outcome.model_fields["outcome"].annotation),
        "models/wording.py": OUTCOME_WORDS,
        "README.md": in_readme({name: f"`{name}`" for name in outcomes}),
    }
    hold_alike(tables, outcomes)


def test_every_rung_has_its_texture(document):
    """What a baker notices is said of each way up."""
    code = document["components"]["schemas"]["Rung"]["properties"]["code"]["enum"]
    tables = {"solver/answers/rung.py TEXTURE": TEXTURE, "openapi_examples Rung": code}
    hold_alike(tables, get_args(RungCode))


def test_every_term_of_a_cost_has_words(document):
    """Each term of a cost is named in a shell and in the README, and described over HTTP."""
    terms = set(Cost.model_fields) - {"total"}
    described = document["components"]["schemas"]["Cost"]["properties"]
    tables = {
        "models/wording.py CostTerm": get_args(CostTerm),
        "models/wording.py COST_WORDS": COST_WORDS,
        "service/http/member_sentences.toml": {t for t in terms if "description" in described[t]},
        "README.md": in_readme({term: f"`{term}`" for term in terms}),
    }
    hold_alike(tables, terms)
