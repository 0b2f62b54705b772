"""The chance of a crack, its range, and the levers that lower it."""

import json
import math

import numpy as np
import pytest

from models.brief import Weighed
from models.target import Target
from solver.mechanics.chance import crack_chance, crack_percent, margin
from solver.mechanics.dough import laws_of, makeup_of
from solver.mechanics.levers import sensitivity, thickness_needed
from solver.mechanics.prior import PRIORS
from solver.mechanics.sheet import load_of

CYLINDER = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
DOUGH = {"flour": 400, "unsalted butter": 210, "sugar": 200, "egg": 48, "baking powder": 4}


def dough(**changes):
    lines = [
        {"ingredient": name, "quantity": grams, "unit": "g"}
        for name, grams in (DOUGH | changes).items()
    ]
    return Weighed.model_validate_json(json.dumps({"recipe": {"lines": lines}})).formula


def target(thickness_mm=4.0, chilled=False, **form):
    whole = {"form": CYLINDER | form, "thickness_mm": thickness_mm, "chilled": chilled}
    return Target.model_validate_json(json.dumps(whole))


@pytest.mark.parametrize("thickness_mm", [3.0, 4.0, 5.0])
@pytest.mark.parametrize("at_most", [5, 20, 50, 80])
def test_a_chance_is_a_margin(thickness_mm, at_most):
    """The chance is at most p just where ε_wrap + k_r r + K F ≤ εc − s logit(1 − p)."""
    aim, given = target(thickness_mm), PRIORS.mean
    load = load_of(aim.form, thickness_mm, 1e-3)
    ln_fluidity, rise, bears = laws_of(thickness_mm, False, given).state(makeup_of(dough()))
    spare = bears - margin(at_most, given) - load.total(math.exp(ln_fluidity), rise)
    assert (crack_percent(dough(), aim) <= at_most) == (spare >= 0)


def test_even_chances():
    """Where demand is just what the dough bears, half of the pieces crack."""
    aim = target()
    chance = crack_chance(dough(), aim)
    level = PRIORS.mean._replace(
        crack_strain=PRIORS.mean.crack_strain + chance.demand.total - chance.crack_strain
    )
    assert crack_percent(dough(), aim, level) == pytest.approx(50)


def test_the_whole_answer():
    """An answer is the estimate within its range, worse grades rarer, always the same."""
    chance = crack_chance(dough(), target())
    assert chance == crack_chance(dough(), target())
    assert chance.percent == pytest.approx(crack_percent(dough(), target()))
    assert chance.low_percent < chance.percent < chance.high_percent
    assert chance.grades_percent[0] == chance.percent
    assert list(chance.grades_percent) == sorted(chance.grades_percent, reverse=True)
    odds = [math.log(p / (100 - p)) for p in chance.grades_percent]
    assert np.diff(odds) == pytest.approx([-0.9] * 3)


def test_a_measured_round_narrows_the_range():
    """A kitchen that measured a flat round knows its chance better than one that did not."""
    untried, tried = crack_chance(dough(), target()), crack_chance(dough(), target(), PRIORS)
    assert tried.percent == untried.percent
    assert untried.low_percent < tried.low_percent
    assert tried.high_percent < untried.high_percent


def test_the_range_is_steady():
    """Another seed moves neither end of the range by more than two points."""
    aim, made = target(3.0), makeup_of(dough())
    ends = []
    for seed in (0, 1):
        draws = PRIORS.draws(2000, seed)
        state = laws_of(3.0, False, draws).state(made)
        load = load_of(aim.form, 3.0, np.exp(draws.ln_slip))
        z = load.total(np.exp(state.ln_fluidity), state.rise) - state.crack_strain
        percents = 100 / (1 + np.exp(-np.clip(z / np.exp(draws.ln_scatter), -50, 50)))
        ends.append(np.percentile(percents, [10, 50]))
    assert ends[0] == pytest.approx(ends[1], abs=2)
    low = crack_chance(dough(), aim, PRIORS).low_percent
    assert low == pytest.approx(ends[0][0])


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


def test_a_dough_beyond_the_priors_still_has_a_chance():
    """A dough that no kitchen makes is answered all the same: it cracks."""
    chance = crack_chance(dough(**{"unsalted butter": 200_000}), target())
    assert (chance.percent, chance.high_percent) == (100, 100)


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
    """Where even 1 mm would crack, no thickness is named."""
    assert thickness_needed(dough(**{"whole milk": 400}), target(), 1) is None


def test_any_thickness_will_do():
    """Where every sheet keeps the chance, the thickest that the form allows is named."""
    panel = {"kind": "leaning_panel", "width_mm": 90, "height_mm": 140, "lean_degrees": 20}
    aim = Target.model_validate_json(json.dumps({"form": panel, "thickness_mm": 4}))
    assert thickness_needed(dough(), aim, 20) == 20
