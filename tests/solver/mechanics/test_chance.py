"""The chance of a crack, its range, and the levers that lower it."""

import json

import numpy as np
import pytest

from models.brief import RecipeToWeigh
from models.chance import chance_words
from models.round_test import RoundTest
from models.target import Target
from solver.mechanics.chance import chance_percents, crack_chance, crack_percent, untried_law
from solver.mechanics.dough import Substances, substances_of
from solver.mechanics.experience import unusual
from solver.mechanics.levers import sensitivity, thickness_needed
from solver.mechanics.round_test import UnlikelyRound, draws_after

CYLINDER = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
DOUGH = {"flour": 400, "unsalted butter": 210, "sugar": 200, "egg": 48, "baking powder": 4}


def dough(**changes):
    lines = [
        {"ingredient": name, "quantity": grams, "unit": "g"}
        for name, grams in (DOUGH | changes).items()
    ]
    return RecipeToWeigh.model_validate_json(json.dumps({"recipe": {"lines": lines}})).formula


def target(thickness_mm=4.0, chilled=False, **form):
    whole = {"form": CYLINDER | form, "thickness_mm": thickness_mm, "chilled": chilled}
    return Target.model_validate_json(json.dumps(whole))


def test_the_whole_answer():
    """An answer is the estimate within its range, worse grades rarer, always the same."""
    chance = crack_chance(dough(), target())
    assert chance == crack_chance(dough(), target())
    assert chance.percent == pytest.approx(crack_percent(dough(), target()))
    assert chance.low_percent < chance.percent < chance.high_percent
    assert chance.grades_percent[1] == pytest.approx(chance.percent)
    assert list(chance.grades_percent) == sorted(chance.grades_percent, reverse=True)
    parts = chance.demand.bend + chance.demand.rise + chance.demand.flow
    assert chance.demand.total == pytest.approx(parts)


def test_a_block_of_doughs_is_many_doughs():
    """Judged together, doughs have the chances that each has alone."""
    doughs = [dough(), dough(flour=440), dough(**{"unsalted butter": 250})]
    together = Substances(*map(np.array, zip(*map(substances_of, doughs), strict=True)))
    alone = [crack_percent(each, target()) for each in doughs]
    assert chance_percents(untried_law(target()), together) == pytest.approx(alone)


def test_a_measured_round_narrows_the_range():
    """A kitchen that measured a flat round knows its chance better than one that did not."""
    test = RoundTest(diameter_mm=60, thickness_mm=5, grew_mm=2)
    given = draws_after(test, substances_of(dough()))
    untried, tried = crack_chance(dough(), target()), crack_chance(dough(), target(), given)
    width = [c.growth_mm.high - c.growth_mm.low for c in (tried, untried)]
    assert width[0] < width[1]
    assert tried.high_percent - tried.low_percent < untried.high_percent - untried.low_percent


def test_a_round_that_no_such_dough_shows():
    """A growth far from all that is believed is refused, with what was to be expected."""
    with pytest.raises(UnlikelyRound, match="was to be expected"):
        draws_after(RoundTest(thickness_mm=5, grew_mm=60), substances_of(dough()))


def test_a_round_of_a_batter_is_refused_without_a_figure():
    """Nobody knows how far it runs; certainly not by metres."""
    batter = dough(sugar=900)
    with pytest.raises(UnlikelyRound, match="nothing is known of rounds of such a dough"):
        draws_after(RoundTest(thickness_mm=5, grew_mm=8), substances_of(batter))


@pytest.mark.parametrize(
    "kind",
    [
        {"kind": "flat_round", "diameter_mm": 60},
        {"kind": "leaning_panel", "width_mm": 90, "height_mm": 140, "lean_degrees": 20},
    ],
)
def test_a_flat_piece_seldom_cracks(kind):
    """A flat piece of the reference dough cracks in fewer than one bake in ten."""
    aim = Target.model_validate_json(json.dumps({"form": kind, "thickness_mm": 4}))
    assert crack_percent(dough(), aim) < 10


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"unsalted butter": 2000}, "% of the dough"),
        ({"unsalted butter": 0, "water": 200, "sugar": 0}, "unlike"),
        ({"baking soda": 60, "cream of tartar": 60}, "gas"),
        ({"citric acid": 60}, "acids"),
    ],
)
def test_a_dough_beyond_the_belief_has_words(changes, said):
    """A dough that no kitchen rolls gets no figure, but what is unusual."""
    assert any(said in words for words in unusual(dough(**changes), target()))
    assert not unusual(dough(), target())


def test_too_much_gas_is_told_by_itself():
    """Six times the soda says nothing against the fat, the sugars and the water."""
    (words,) = unusual(dough(**{"baking soda": 60}), target())
    assert "gas" in words


def test_a_form_too_tight_for_its_sheet_has_words():
    """A sheet bent round less than four times its thickness is beyond experience."""
    assert "four times" in unusual(dough(), target(6.0, diameter_mm=40))[0]


@pytest.mark.parametrize("percent", np.linspace(0, 100, 201))
def test_no_chance_is_certain_in_words(percent):
    """Words never say none or all."""
    assert not {"0 in 10", "10 in 10", "100 %", "0 %"} & {chance_words(percent)}


def test_levers_are_what_they_say():
    """Each lever's chance is the chance of the changed dough or target, the best one first."""
    result = sensitivity(dough(), target())
    percents = {lever.code: lever.percent for lever in result.levers}
    assert percents == pytest.approx(
        {
            "thinner": crack_percent(dough(), target(3.0)),
            "chilled": crack_percent(dough(), target(chilled=True)),
            "less_leavening": crack_percent(dough(**{"baking powder": 3}), target()),
            "more_flour": crack_percent(dough(flour=440), target()),
            "less_fat": crack_percent(dough(**{"unsalted butter": 189}), target()),
            "less_sugar": crack_percent(dough(sugar=180), target()),
        }
    )
    gained = [lever.points_gained for lever in result.levers]
    assert gained == sorted(gained, reverse=True)
    for lever in result.levers:
        assert lever.percent + lever.points_gained == pytest.approx(result.chance.percent)


def test_only_levers_that_are_there():
    """A thin, chilled sheet without sugar can be neither thinner nor colder nor less sweet."""
    codes = {lever.code for lever in sensitivity(dough(sugar=0), target(1.5, chilled=True)).levers}
    assert codes == {"less_leavening", "more_flour", "less_fat"}


@pytest.mark.parametrize("at_most", [10, 20, 60])
def test_the_thickness_needed(at_most):
    """The thickness named keeps the chance, and a tenth of a millimetre more does not."""
    needed = thickness_needed(dough(), target(), at_most)
    assert needed is not None
    assert crack_percent(dough(), target(needed)) <= at_most
    assert crack_percent(dough(), target(round(needed + 0.1, 1))) > at_most


def test_no_thickness_will_do():
    """Where even 1.5 mm would crack, no thickness is named."""
    assert thickness_needed(dough(**{"whole milk": 400}), target(), 1) is None


def test_any_thickness_will_do():
    """Where every sheet keeps the chance, the thickest that the form allows is named."""
    panel = {"kind": "leaning_panel", "width_mm": 90, "height_mm": 140, "lean_degrees": 20}
    aim = Target.model_validate_json(json.dumps({"form": panel, "thickness_mm": 4}))
    assert thickness_needed(dough(), aim, 20) == 8
