"""What bakers of standing pieces know, as the order in which the sheet model must put things.

All of it is common practice, no source. The dough is as near as a recipe comes to the one the
priors speak of; the form is a roll of 2 3/4 in, wrapped nearly half-way round.
"""

import json

import numpy as np
import pytest

from models.brief import RecipeToWeigh
from models.target import Target
from solver.mechanics.belief import middle
from solver.mechanics.chance import crack_chance, crack_percent
from solver.mechanics.dough import state_of, substances_of

MM_PER_INCH = 25.4
ROLL = {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 160}
ROUND = {"kind": "flat_round", "diameter_mm": "2 1/2 in"}
LINES = {
    "all-purpose flour": 400.0,
    "unsalted butter": 210.0,
    "granulated sugar": 200.0,
    "egg": 48.0,
    "baking powder": 4.0,
}


def dough(**changes):
    """Return the dough with lines (underscores for blanks) at other grams, or with more lines."""
    grams = LINES | {name.replace("_", " "): amount for name, amount in changes.items()}
    lines = [{"ingredient": i, "quantity": q, "unit": "g"} for i, q in grams.items() if q]
    return RecipeToWeigh.model_validate_json(json.dumps({"recipe": {"lines": lines}})).formula


def of_shortening(fat_grams=210 * 0.8111):
    """Return the dough with shortening in place of butter, at equal fat and equal water."""
    water = 210 * 0.1794
    return dough(unsalted_butter=0, vegetable_shortening=fat_grams / 0.9997, water=water)


def chance(formula, thickness="3/16 in", form=ROLL, chilled=False):
    target = {"form": form, "thickness_mm": thickness, "chilled": chilled}
    return crack_percent(formula, Target.model_validate_json(json.dumps(target)))


def log_odds(percent):
    return np.log(percent / (100 - percent))


def growth_of_round(formula, thickness="3/16 in"):
    """Return how much a flat round of 2 1/2 in grows in diameter, in inches."""
    aim = Target.model_validate_json(json.dumps({"form": ROUND, "thickness_mm": thickness}))
    return crack_chance(formula, aim).growth_mm.value / MM_PER_INCH


def test_thinner_beats_less_leavening():
    """Rolling 1/8 in instead of 3/16 in lowers the chance more than halving the leavening does."""
    thinner, less_leavened = chance(dough(), "1/8 in"), chance(dough(baking_powder=2.0))
    assert thinner < less_leavened < chance(dough())
    assert chance(dough()) - thinner > 2 * (chance(dough()) - less_leavened)


@pytest.mark.parametrize("pair", [("1/8 in", "3/16 in"), ("3/16 in", "1/4 in")])
def test_thinner_is_safer(pair):
    """A thinner sheet cracks less often."""
    thinner, thicker = (chance(dough(), thickness) for thickness in pair)
    assert thinner < thicker


def test_a_fifth_less_flour_is_far_worse():
    """With 20 % less flour the dough that may crack mostly does; 20 % more mends it."""
    assert chance(dough(**{"all-purpose flour": 320.0})) > 2 * chance(dough())
    assert chance(dough(**{"all-purpose flour": 480.0})) < chance(dough()) / 2


def test_more_leavening_is_worse():
    """Twice the leavening makes cracks likelier."""
    assert chance(dough(baking_powder=8.0)) > chance(dough())


def test_a_round_hides_what_a_curve_shows():
    """A flat round of 2 1/2 in grows by only 1/16 to 1/8 in and stays whole; the curve cracks."""
    assert 1 / 16 <= growth_of_round(dough()) <= 1 / 8
    assert chance(dough(), form=ROUND) < 10
    assert chance(dough()) > 10 * chance(dough(), form=ROUND)


@pytest.mark.parametrize(
    "gentler",
    [{"diameter_mm": "5 in"}, {"wrap_degrees": 90}],
    ids=["a wider roll", "wrapped less"],
)
def test_a_gentler_curve_is_safer(gentler):
    """A wider roll cracks less often, and so does a piece wrapped less far round it."""
    assert chance(dough(), form=ROLL | gentler) < chance(dough())


def test_egg_out_spreads_alike_but_bears_less():
    """Without its egg a round grows within 1/16 in of what it did, and the dough bears less."""
    without = dough(egg=0)
    assert abs(growth_of_round(without) - growth_of_round(dough())) < 1 / 16
    bears = [
        state_of(substances_of(formula), False, middle()).crack_strain
        for formula in (without, dough())
    ]
    assert bears[0] < bears[1]


def test_chilling_helps_butter_more_than_shortening():
    """Chilling lowers the odds of a crack in a butter dough more than in one of shortening."""
    gains = [
        log_odds(chance(formula)) - log_odds(chance(formula, chilled=True))
        for formula in (dough(), of_shortening())
    ]
    assert gains[0] > max(gains[1], 0)


def test_shortening_spreads_a_little_less():
    """At equal fat and equal water, shortening for butter makes a round grow no more than before,
    by less than a ruler shows.
    """
    less = growth_of_round(dough()) - growth_of_round(of_shortening())
    assert 0 <= less < 1 / 32
