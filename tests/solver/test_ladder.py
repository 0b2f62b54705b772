"""The ladder: rungs in the trade's order, and the front that bounds them."""

import json
from fractions import Fraction
from itertools import pairwise

import pytest
from pydantic import ValidationError

from models.errors import BadInput
from models.ladder import Ladder, LadderBrief
from models.limits import ChangeLimit
from models.pantry import known_pantry
from solver.answers.fat_swap import fat_swap
from solver.ladder import SINGLE_CHANGES, climb
from solver.mechanics.chance import crack_chance
from solver.search.problem import Problem
from tests.solver.search.test_crack import on_cylinder

TRADE_ORDER = [
    "as_written",
    "thinner",
    "chilled",
    "thinner_chilled",
    "less_leavening",
    "little_flour",
    "several_changes",
    "thinner_less_leavening",
    "thinner_several_changes",
    "fat_swap",
]


def ladder_brief(**members) -> LadderBrief:
    return LadderBrief.model_validate_json(json.dumps({**on_cylinder("3/16 in"), **members}))


@pytest.fixture(scope="module")
def ladder() -> Ladder:
    """The ladder of the short dough on a 2 3/4 in roll at 3/16 in."""
    return climb(ladder_brief(points=8), lambda: 600.0)


def test_rungs_come_in_the_order_of_the_trade(ladder):
    """Thinner, chilled, leavening, flour, combinations, fat; those dropped among them."""
    codes = [rung.code for rung in ladder.rungs]
    assert codes == [code for code in TRADE_ORDER if code in codes]
    every = {*codes, *(dropped.code for dropped in ladder.dropped)}
    assert every == set(TRADE_ORDER)
    assert ladder.complete


def test_the_dough_as_written_is_the_first_rung(ladder):
    """It costs nothing, and it is too likely to crack."""
    first = ladder.rungs[0]
    assert first.texture_cost == 0
    assert not first.reaches
    assert first.words == "Leave it as it is written."
    assert not any(line.moved for line in first.lines)


def test_no_rung_that_is_kept_is_beaten_by_another(ladder):
    """Every kept rung but the trade's single changes is gentler or safer than each other one."""
    for one in ladder.rungs:
        if one.code in SINGLE_CHANGES:
            continue
        for other in ladder.rungs:
            if one is not other:
                assert (
                    one.texture_cost < other.texture_cost
                    or one.chance.percent < other.chance.percent + 1
                )


def test_a_dropped_rung_says_which_is_better(ladder):
    """With both chances in words."""
    assert ladder.dropped
    for dropped in ladder.dropped:
        if dropped.why.startswith("It comes to the same: "):
            words = dropped.why.removeprefix("It comes to the same: ")
            assert words[0].upper() + words[1:] in {rung.words for rung in ladder.rungs}
        else:
            assert "%" in dropped.why
            assert "against" in dropped.why


def test_some_rung_reaches_the_chance_asked_for(ladder):
    """The last resort of several changes on a thinner sheet stays under one in five."""
    reaching = [rung for rung in ladder.rungs if rung.reaches]
    assert reaching
    assert all(rung.chance.percent <= ladder.limit_percent == 20 for rung in reaching)


def test_a_dough_that_holds_has_one_rung():
    """On a flat, thin round nothing needs to change, and no other way is worth naming."""
    target = {"form": {"kind": "flat_round", "diameter_mm": 60}, "thickness_mm": 2}
    ladder = climb(ladder_brief(target=target, points=8), lambda: 600.0)
    assert [rung.code for rung in ladder.rungs] == ["as_written"]
    assert ladder.rungs[0].reaches


def test_each_chance_lies_in_its_range(ladder):
    """What four kitchens in five would see holds what the means say."""
    for rung in ladder.rungs:
        assert rung.chance.low_percent <= rung.chance.percent + 1e-9
        assert rung.chance.percent <= rung.chance.high_percent + 1e-9


def test_along_the_front_less_risk_costs_more(ladder):
    """Each point is safer and dearer than the one before; nothing bends back."""
    points = [(p.chance_percent, p.texture_cost) for p in ladder.front]
    assert len(points) >= 7
    assert points[0] == (pytest.approx(ladder.rungs[0].chance.percent), 0)
    for (chance, cost), (next_chance, next_cost) in pairwise(points):
        assert next_chance < chance
        assert next_cost > cost - 1e-9


def test_no_rung_at_the_thickness_asked_for_is_below_the_front(ladder):
    """A rung of the same thickness never costs less than the front does at its chance."""
    asked = ladder.rungs[0].target
    for rung in ladder.rungs:
        if rung.target == asked:
            reached = [p for p in ladder.front if p.chance_percent >= rung.chance.percent]
            cheapest = max((p.texture_cost for p in reached), default=0)
            assert rung.texture_cost >= cheapest - 1e-9


def test_time_that_ends_leaves_what_was_found():
    """The rung as written is there, and the ladder says that it is not complete."""
    asked = iter([60.0] * 20)
    cut_short = climb(ladder_brief(), lambda: next(asked, 0.0))
    assert not cut_short.complete
    assert cut_short.rungs[0].code == "as_written"
    assert cut_short.front == ()


def test_a_ladder_leads_up_to_a_form():
    """Without a target there is nothing to climb to."""
    brief = on_cylinder()
    del brief["target"]
    with pytest.raises(ValidationError) as failure:
        LadderBrief.model_validate_json(json.dumps({**brief, "window": {}}))
    assert "/target" in {fault.pointer for fault in BadInput.of(failure.value).faults}


def test_another_fat_is_another_fat():
    """Where shortening takes the butter's place, the dough is judged and listed with shortening.

    At equal fat: 81 % of the butter against 100 % of the shortening, to a gram.
    """
    brief = ladder_brief()
    asked = Problem.of(brief)
    staying = asked.under(
        [*asked.limits, ChangeLimit("keep", "all", tuple(range(len(asked.options))), Fraction(0))]
    )
    (rung,) = fat_swap(staying, brief.target)
    fats = {line.ingredient: line.after.grams for line in rung.lines if line.role == "fat"}
    butter = sum(x.before.grams for x in rung.lines if x.ingredient == "unsalted butter")
    assert fats["unsalted butter"] == 0
    pantry = known_pantry()
    share = [pantry.find(name).fat_percent for name in ("unsalted butter", "vegetable shortening")]
    assert fats["vegetable shortening"] == pytest.approx(butter * share[0] / share[1], abs=0.51)
    lines = [
        {"ingredient": line.ingredient, "quantity": line.after.grams, "unit": "g"}
        for line in rung.lines
        if line.after.grams
    ]
    again = ladder_brief(recipe={"lines": lines})
    assert rung.chance_percent == crack_chance(again.formula, brief.target).chance_percent


def test_every_rung_has_dough_for_the_pieces_asked_for():
    """A thinner sheet takes a smaller batch, shortening in the butter's place a larger one."""
    rungs = climb(ladder_brief(points=8, batch={"pieces": 40}), lambda: 600.0).rungs
    grams = {rung.code: rung.pieces.dough_grams for rung in rungs}
    assert all(rung.pieces.enough_for >= 40 for rung in rungs)
    assert all(rung.pieces.needed_grams <= rung.pieces.dough_grams for rung in rungs)
    assert grams["thinner"] < grams["as_written"]


def test_shortening_for_butter_takes_a_larger_batch():
    """At equal fat it weighs less than the butter, so more of the recipe is needed."""
    brief = ladder_brief(batch={"pieces": 40})
    asked = Problem.of(brief)
    everything = tuple(range(len(asked.options)))
    staying = asked.under([*asked.limits, ChangeLimit("keep", "all", everything, Fraction(0))])
    (swap,) = fat_swap(staying, brief.target)
    assert swap.pieces.enough_for >= 40
    dough = sum(line.after.grams for line in swap.lines)
    assert swap.pieces.dough_grams == pytest.approx(dough)
    assert dough < sum(line.before.grams for line in swap.lines)


def test_where_no_dough_keeps_the_other_limits_there_is_no_front():
    """One egg and two spoons of milk never come to half as much again as the flour."""
    window = {"liquid_per_flour": {"min": 1.5}}
    ladder = climb(ladder_brief(points=8, window=window), lambda: 600.0)
    assert ladder.complete
    assert ladder.front == ()
    assert "as_written" in {rung.code for rung in ladder.rungs}


LITTLE_FAT = {
    "recipe": {
        "lines": [
            {"ingredient": "all-purpose flour", "quantity": 3.5, "unit": "cup"},
            {"ingredient": "honey", "quantity": 250, "unit": "g"},
            {"ingredient": "granulated sugar", "quantity": 125, "unit": "g"},
            {"ingredient": "unsalted butter", "quantity": 40, "unit": "g"},
            {"ingredient": "baking soda", "quantity": 1.5, "unit": "tsp"},
        ]
    },
    "measures": "us",
}
"""A honey dough of a tenth of its flour in fat; how such doughs spread nobody has measured."""


def test_a_dough_beyond_experience_is_told_the_steps_of_the_trade():
    """Thinner, half the soda, a tenth more flour, and all three; no figure stands beside them.

    Common practice, no source.
    """
    ladder = climb(ladder_brief(**LITTLE_FAT), lambda: 600.0)
    assert ladder.outside_experience
    assert (ladder.rungs, ladder.front) == ((), ())
    codes = ["thinner", "less_leavening", "little_flour", "thinner_several_changes"]
    assert [step.code for step in ladder.steps] == codes
    thinner, less, flour, every = ladder.steps
    assert thinner.target.measure == "1/8 in"
    assert (less.lines[4].after.measure, less.target.measure) == ("3/4 tsp", "3/16 in")
    more = flour.lines[0].after.grams / flour.lines[0].before.grams
    assert more == pytest.approx(1.1, abs=0.01)
    assert [line.after for line in every.lines] == [
        (flour.lines[k] if k == 0 else less.lines[k]).after for k in range(5)
    ]
    assert not any(line.moved for line in thinner.lines)


def test_a_step_of_the_trade_keeps_what_the_caller_keeps():
    """Flour that is kept is not added to, and a step that changes nothing is no step."""
    limits = {"keep": ["all-purpose flour"]}
    ladder = climb(ladder_brief(**LITTLE_FAT, limits=limits), lambda: 600.0)
    assert "little_flour" not in {step.code for step in ladder.steps}
    assert not any(step.lines[0].moved for step in ladder.steps)


def test_within_experience_there_are_rungs_and_no_steps(ladder):
    """Either figures or the trade's bare order."""
    assert ladder.rungs
    assert ladder.steps == ()


def test_a_step_is_easy_to_measure():
    """A tenth more of 437.5 g of flour is not told as a cup, a spoon and three quarters of one."""
    lines = on_cylinder()["recipe"]["lines"]
    lines[0] = {"ingredient": "all-purpose flour", "quantity": 437.5, "unit": "g"}
    ladder = climb(ladder_brief(recipe={"lines": lines}, measures="us", points=8), lambda: 600.0)
    for rung in ladder.rungs:
        for line in rung.lines:
            assert not line.moved or line.after.measure.count("+") <= 1, line.after.measure


def test_chilling_is_a_rung_of_its_own(ladder):
    """The sheet as thick as planned, the dough as written, and a little less of a chance."""
    (rung,) = (rung for rung in ladder.rungs if rung.code == "chilled")
    assert rung.target.chilled
    assert rung.target.thickness_mm == ladder.rungs[0].target.thickness_mm
    assert not any(line.moved for line in rung.lines)
    assert rung.chance.percent < ladder.rungs[0].chance.percent
    assert rung.texture_cost == pytest.approx(0.02)
