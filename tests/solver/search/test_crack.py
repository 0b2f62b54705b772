"""The crack limit: the true limit in the answer, at the least cost."""

import json
import math
from functools import cache

import pytest
from pydantic import ValidationError

from models.brief import Brief
from models.errors import BadInput
from models.outcome import Outcome
from models.template import pieces_grams
from solver.reformulate import reformulate
from solver.search.judging import WeighedDough
from solver.search.problem import Problem
from tests.conftest import brief_of

SHORT_DOUGH = {
    "title": "Wickhollow short dough",
    "lines": [
        {"text": "3 cups all-purpose flour"},
        {"text": "1 cup (227 g) unsalted butter"},
        {"text": "1 cup granulated sugar"},
        {"text": "1 egg"},
        {"text": "2 tbsp whole milk"},
        {"text": "1 1/2 tsp baking powder"},
        {"text": "1/2 tsp salt"},
    ],
}


ONE_PIECE = {
    "lines": [
        {"text": "60 g all-purpose flour"},
        {"text": "36 g unsalted butter"},
        {"text": "32 g granulated sugar"},
        {"text": "5 g whole milk"},
        {"text": "1 g baking powder"},
    ]
}
"""So little that each line has few amounts to choose from."""


@cache
def answered(brief: str) -> Outcome:
    return reformulate(brief_of(json.loads(brief)))


def outcome_of(brief) -> Outcome:
    """Answer a brief; once, however many tests ask it."""
    return answered(json.dumps(brief))


def on_cylinder(thickness="3/16 in", wrap=150, **members):
    form = {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": wrap}
    return {
        "recipe": SHORT_DOUGH,
        "target": {"form": form, "thickness_mm": thickness},
        **members,
    }


def test_a_form_alone_implies_a_window():
    """The chance and the handling come from the form, and the answer keeps them as measured."""
    outcome = outcome_of(on_cylinder())
    assert outcome.outcome == "reformulated"
    assert {name: bound.source for name, bound in outcome.window.items()} == {
        "liquid_per_flour": "form",
        "wet_per_flour": "form",
        "crack_chance_percent": "form",
    }
    assert outcome.form.before.percent > 20
    assert outcome.form.after.percent <= 20
    assert outcome.ratios.after.liquid_per_flour >= outcome.window["liquid_per_flour"].min
    assert outcome.form.limits_of_the_model


def test_the_ranges_hold_the_answer():
    """Each ratio of the answer lies in the range that the form leaves it."""
    outcome = outcome_of(on_cylinder())
    assert set(outcome.form.ranges) == {
        "flour_to_fat",
        "soda_equivalent_percent",
        "moisture_percent",
    }
    for name, allowed in outcome.form.ranges.items():
        value = getattr(outcome.ratios.after, name)
        assert (allowed.min or 0) <= value <= (allowed.max or math.inf)


def test_a_callers_bound_replaces_the_forms():
    """A wider chance and a ratio of one's own stand in the forms' place; the rest stays."""
    window = {"crack_chance_percent": {"max": 50}, "wet_per_flour": {"max": 2}}
    outcome = outcome_of(on_cylinder(window=window))
    assert outcome.window["crack_chance_percent"].source == "caller"
    assert outcome.window["wet_per_flour"].source == "caller"
    assert outcome.window["wet_per_flour"].min is None
    assert outcome.window["liquid_per_flour"].source == "form"
    assert outcome.form.after.percent <= 50


@pytest.mark.parametrize("percent", [10, 30, 60])
def test_less_risk_costs_more(percent):
    """A tighter limit never costs less than a looser one."""

    def cost(at_most):
        window = {"crack_chance_percent": {"max": at_most}}
        return outcome_of(on_cylinder(window=window)).cost.total

    assert cost(percent) >= cost(percent + 20)


def test_the_answer_is_the_least_of_all_that_hold():
    """With few options a line, trying everything finds nothing cheaper within the limit."""
    lines = [
        {"ingredient": "all-purpose flour", "quantity": 375, "unit": "g"},
        {"ingredient": "lard", "quantity": 190, "unit": "g"},
        {"ingredient": "granulated sugar", "quantity": 1, "unit": "cup"},
        {"ingredient": "egg", "quantity": 1, "unit": "each"},
        {"ingredient": "baking powder", "quantity": 1, "unit": "tsp"},
    ]
    brief = brief_of(
        on_cylinder(
            recipe={"lines": lines},
            window={"liquid_per_flour": {}, "wet_per_flour": {}},
            limits={"keep": ["lard", "all-purpose flour"]},
        )
    )
    problem = Problem.of(brief)
    answer = problem.least()
    options = answer.options
    costs = []
    for sugar in range(len(options[2])):
        for egg in range(len(options[3])):
            for powder in range(len(options[4])):
                picks = (0, 0, sugar, egg, powder)
                amounts = tuple(c.amount(p) for c, p in zip(options, picks, strict=True))
                cost = sum(c.cost[p] for c, p in zip(options, picks, strict=True))
                if cost < float(answer.cost) + 0.1 and WeighedDough(amounts, 0.25).keeps_all(
                    problem.limits
                ):
                    costs.append(cost)
    assert min(costs) == pytest.approx(float(answer.cost), abs=1e-9)


def test_a_form_nobody_can_meet_says_what_thickness_would_do():
    """Eight millimetres round a small roll: the limit stands in the way, thin sheets would not."""

    def asked(**members):
        limits = {"keep": ["granulated sugar", "unsalted butter"]}
        return reformulate(
            brief_of(on_cylinder(wrap=170, recipe=ONE_PIECE, limits=limits, **members))
        )

    outcome = asked(thickness=8)
    assert outcome.outcome == "infeasible"
    by_name = {conflict.limit: conflict for conflict in outcome.conflicts}
    conflict = by_name["crack_chance_percent.max"]
    assert conflict.relax_to > 20
    assert outcome.form.thickness_needed_mm is not None
    assert f"{outcome.form.thickness_needed_mm:g} mm" in conflict.message
    window = {"crack_chance_percent": {"max": conflict.relax_to}}
    assert asked(thickness=8, window=window).outcome == "reformulated"
    assert asked(thickness=outcome.form.thickness_needed_mm).outcome == "unchanged"


@pytest.mark.parametrize(
    ("brief", "pointer"),
    [
        (
            {"recipe": SHORT_DOUGH, "window": {"crack_chance_percent": {"max": 20}}},
            "/window/crack_chance_percent",
        ),
        (on_cylinder(window={"crack_chance_percent": {"max": 0}}), None),
        (on_cylinder(wrap=300), "/target/form/wrap_degrees"),
        ({"recipe": SHORT_DOUGH, "window": {}, "batch": {"pieces": 4}}, "/batch/pieces"),
    ],
)
def test_a_form_is_asked_for_where_it_is_needed(brief, pointer):
    """Each fault stands where it is."""
    with pytest.raises(ValidationError) as failure:
        Brief.model_validate_json(json.dumps(brief))
    pointers = {fault.pointer for fault in BadInput.of(failure.value).faults}
    assert (pointer or "/window/crack_chance_percent/max") in pointers


def test_a_batch_by_pieces_is_whole_eggs_and_enough_dough():
    """Twelve pieces with trimmings: the next whole number of eggs makes at least that dough."""
    brief = brief_of(on_cylinder(batch={"pieces": 12, "trimmings_percent": 10}))
    outcome = reformulate(brief)
    egg = outcome.lines[3]
    assert egg.before.grams % 50 == 0
    assert egg.before.measure in {"1 egg", *(f"{n} eggs" for n in range(2, 20))}
    needed = pieces_grams(brief.target, 12, 10)
    dough = sum(line.before.grams for line in outcome.lines)
    one_egg_less = dough * (egg.before.grams - 50) / egg.before.grams
    assert one_egg_less < needed <= dough
    assert outcome.form.after.percent <= 20
