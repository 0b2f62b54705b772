"""What holds of every answer, whatever the recipe."""

import json
from fractions import Fraction

import pytest

from models.brief import Brief
from models.errors import RecheckFailed
from models.limits import RatioLimit
from models.outcome import After, Outcome
from solver.answers.recheck import recheck
from solver.reformulate import reformulate
from solver.search.problem import Problem
from tests.conftest import brief_of
from tests.generated_recipes import generated_brief, generated_recipe


@pytest.mark.parametrize("seed", range(1000, 1040))
def test_every_answer_keeps_its_promises(seed):
    """Weighed again from its own words, in exact arithmetic, each bound and limit holds."""
    brief = generated_brief(seed)
    outcome = reformulate(brief)
    assert outcome.outcome in {"reformulated", "unchanged", "infeasible"}
    assert recheck(brief, outcome) is outcome


@pytest.mark.parametrize("seed", range(1000, 1030))
def test_an_empty_window_changes_nothing(seed):
    """Without a bound no line moves, and the cost is nothing."""
    outcome = reformulate(brief_of({"recipe": generated_recipe(seed), "window": {}}))
    assert outcome.outcome == "unchanged"
    assert outcome.cost.total == 0
    assert outcome.ratios.after == outcome.ratios.before


FEASIBLE = [seed for seed in range(1040, 1080) if seed not in {1046, 1067}]
"""The two others cannot be met at all."""


@pytest.mark.parametrize("seed", FEASIBLE[:20])
def test_loosening_a_limit_never_costs_more(seed):
    """Each limit in turn is removed; the least cost stays or falls."""
    brief = generated_brief(seed)
    problem = Problem.of(brief)
    whole = problem.least()
    assert whole is not None
    for limit in problem.limits:
        easier = problem.without(limit).below()
        assert easier is not None
        assert easier.cost <= whole.cost + Fraction(1, 10**8)


@pytest.mark.parametrize("seed", FEASIBLE[18:])
def test_mass_is_conserved(seed):
    """The flour of the answer is the flour of its lines, and so is its fat."""
    outcome = reformulate(generated_brief(seed))
    flour = sum(line.after.grams for line in outcome.lines if line.role == "flour")
    fat = sum(line.after.grams for line in outcome.lines if line.role == "fat")
    assert outcome.ratios.after.flour_to_fat == pytest.approx(flour / fat)


@pytest.mark.parametrize("seed", range(1080, 1090))
def test_the_same_brief_gives_the_same_bytes(seed):
    """Twice in one process: byte for byte."""
    brief = generated_brief(seed)
    assert reformulate(brief).model_dump_json() == reformulate(brief).model_dump_json()


@pytest.mark.parametrize("seed", range(1090, 1100))
def test_an_answer_taken_as_a_recipe_needs_no_change(seed):
    """Sent back by weight, eggs by the piece, with the same window, the proposal stays as it is."""
    brief = generated_brief(seed, measures="scale")
    outcome = reformulate(brief)
    assert outcome.outcome in {"reformulated", "unchanged"}
    pieces = {"each": "egg", "yolk": "egg yolk", "white": "egg white"}
    lines = [
        {"ingredient": x.ingredient, "quantity": x.after.grams, "unit": "g"}
        for x in outcome.lines
        if x.after.grams and not (x.role == "egg" and x.after.scoops)
    ] + [
        {"ingredient": pieces[scoop.unit], "quantity": scoop.quantity, "unit": "each"}
        for x in outcome.lines
        if x.role == "egg"
        for scoop in x.after.scoops
    ]
    window = json.loads(brief.window.model_dump_json())
    again = reformulate(brief_of({"recipe": {"lines": lines}, "window": window}))
    assert again.outcome == "unchanged"


def tampered(outcome: Outcome, k: int, **members) -> Outcome:
    lines = list(outcome.lines)
    lines[k] = lines[k].model_copy(update=members)
    return outcome.model_copy(update={"lines": tuple(lines)})


def test_the_recheck_refuses_what_does_not_hold(lantern):
    """Wrong grams, words, scoops, kept lines, costs and broken bounds are all found."""
    brief = brief_of(lantern)
    outcome = reformulate(brief)
    assert recheck(brief, outcome) is outcome
    flour = outcome.lines[0].after
    wrong = [
        tampered(outcome, 0, after=flour.model_copy(update={"grams": 480.0})),
        tampered(outcome, 0, after=flour.model_copy(update={"measure": "3 1/2 cups"})),
        tampered(outcome, 0, after=flour.model_copy(update={"scoops": flour.scoops[:2]})),
        tampered(outcome, 4, moved=True, after=After(grams=337.0, measure="1 cup", scoops=())),
        outcome.model_copy(update={"cost": outcome.cost.model_copy(update={"total": 0.3})}),
    ]
    for answer in wrong:
        with pytest.raises(RecheckFailed):
            recheck(brief, answer)
    tighter = brief_of({**lantern, "window": {"flour_to_fat": {"min": 2.1109}}})
    with pytest.raises(RecheckFailed, match="flour_to_fat"):
        recheck(tighter, outcome)


def test_a_bound_is_met_to_the_last_digit():
    """A bound of exactly the measured ratio holds; a hair above it does not."""
    brief = {
        "recipe": {
            "lines": [
                {"ingredient": "flour", "quantity": 300, "unit": "g"},
                {"ingredient": "lard", "quantity": 110, "unit": "g"},
            ]
        },
        "window": {"flour_to_fat": {"max": 3, "min": 3}},
        "measures": "scale",
    }
    outcome = reformulate(brief_of(brief))
    assert outcome.outcome == "reformulated"
    assert outcome.ratios.after.flour_to_fat == 3
    limit = next(iter(brief_of(brief).named_limits()))
    assert isinstance(limit, RatioLimit)
    assert limit.value == 3
    assert Brief.model_validate_json(json.dumps(brief)).formula.flour_grams == 300
