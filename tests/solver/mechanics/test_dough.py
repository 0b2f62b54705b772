"""What a formula makes of fluidity, rise and crack strain, gram by gram."""

import json
import math

import numpy as np
import pytest

from models.brief import Weighed
from models.pantry import pantry
from solver.mechanics.dough import REFERENCE, Makeup, laws_of, makeup_of, makeup_per_gram
from solver.mechanics.prior import PRIORS, UNTRIED_KITCHEN, Priors

MEAN = PRIORS.mean
CUSTOM = [
    {"name": "butter-flavoured shortening", "role": "fat", "water_percent": 0, "fat_percent": 100},
    {"name": "village fat", "role": "fat", "water_percent": 0, "fat_percent": 100},
]


def formula(powder_strength=0.25, **grams):
    lines = [
        {"ingredient": name.replace("_", " "), "quantity": amount, "unit": "g"}
        for name, amount in grams.items()
    ]
    recipe = {"lines": lines, "custom_ingredients": CUSTOM}
    weighed = {"recipe": recipe, "powder_strength": powder_strength}
    return Weighed.model_validate_json(json.dumps(weighed)).formula


def dough(powder_strength=0.25, **grams):
    basic = {"flour": 400, "unsalted_butter": 200, "sugar": 200, "egg": 50, "baking_powder": 4}
    return formula(powder_strength, **(basic | grams))


def state(makeup, thickness_mm=5.0, chilled=False, given=MEAN):
    return laws_of(thickness_mm, chilled, given).state(makeup)


def test_the_reference_dough():
    """The reference dough, 5 mm thick, has ln F = ln 0.025, r = 0.37 and εc = 0.20."""
    ln_fluidity, rise, crack_strain = state(REFERENCE)
    assert math.exp(ln_fluidity) == pytest.approx(2.5e-2)
    assert rise == pytest.approx(0.37)
    assert crack_strain == pytest.approx(0.20)


@pytest.mark.parametrize(
    ("more", "ln_fluidity", "rise", "crack_strain"),
    [
        ({"fat": 1}, 0.060, 0, 0),
        ({"fat": 1, "shortening_fat": 1}, 0.060 - 0.0055, 0, 0),
        ({"sugars": 1}, 0.050, 0, 0),
        ({"water": 1}, 0.100, 0, 0.004),
        ({"egg": 1}, -0.010, 0, 0.004),
        ({"powder": 1}, 0.12, 0.22, 0),
    ],
)
def test_the_slopes(more, ln_fluidity, rise, crack_strain):
    """One per cent more of a thing moves the dough by the mean of its prior."""
    changed = REFERENCE._replace(**{name: getattr(REFERENCE, name) + 1 for name in more})
    moved = [a - b for a, b in zip(state(changed), state(REFERENCE), strict=True)]
    assert moved == pytest.approx([ln_fluidity, rise, crack_strain], abs=1e-12)


@pytest.mark.parametrize("chilled", [False, True])
@pytest.mark.parametrize("thickness_mm", [3.0, 5.0])
def test_times_the_flour_it_adds_up_gram_by_gram(thickness_mm, chilled):
    """A law × flour is the sum of what each gram of each ingredient adds, as a program needs."""
    mixed = dough(lard=30, honey=20, baking_soda=2, egg_yolk=17, whole_milk=15, almond_flour=40)
    whole = makeup_of(mixed)
    for law in laws_of(thickness_mm, chilled, MEAN):
        by_grams = sum(
            float(line.grams) * law.times_flour(makeup_per_gram(line.ingredient, 0.25))
            for line in mixed.lines
        )
        assert by_grams == pytest.approx(law.at(whole) * whole.flour, rel=1e-12)


def test_scaling_changes_nothing():
    """Twice the dough is the same dough."""
    twice = state(makeup_of(dough().times(2)))
    assert twice == pytest.approx(state(makeup_of(dough())), rel=1e-12)


def test_fluidity_falls_with_thickness():
    """F is in proportion to thickness: half the thickness, half the fluidity."""
    half = state(REFERENCE, 2.5).ln_fluidity
    assert half == pytest.approx(state(REFERENCE).ln_fluidity - math.log(2))


@pytest.mark.parametrize(
    ("fat", "butter", "shortening"),
    [
        ("unsalted butter", 0.8111, 0),
        ("ghee", 0.9948, 0),
        ("vegetable shortening", 0, 0.9997),
        ("lard", 0, 1),
        ("margarine", 0, 0.8071),
        ("olive oil", 0, 0),
        ("peanut butter", 0, 0),
        ("buttermilk", 0, 0),
    ],
)
def test_which_fats_firm_up(fat, butter, shortening):
    """Butter and ghee firm up as butter; shortening, lard and margarine as shortening; oils not."""
    ingredient = pantry().find(fat)
    makeup = makeup_per_gram(ingredient, 0.25)
    assert (makeup.butter_fat, makeup.shortening_fat) == pytest.approx((butter, shortening))
    assert makeup.fat == pytest.approx(ingredient.fat_percent / 100)


def test_a_bakers_own_fats():
    """A fat of the caller's is told by its name; one that says nothing is neither."""
    made = makeup_of(dough(**{"butter-flavoured_shortening": 10, "village_fat": 20}))
    plain = makeup_of(dough())
    assert made.shortening_fat == 10
    assert made.butter_fat == plain.butter_fat
    assert made.fat == pytest.approx(plain.fat + 30)


def test_leavening_counts_as_powder():
    """A gram of soda counts as four of powder; a powder of another strength for what it is."""
    assert makeup_of(dough(baking_powder=4)).powder == pytest.approx(4)
    assert makeup_of(dough(baking_powder=0, baking_soda=1)).powder == pytest.approx(4)
    assert makeup_of(dough(0.30, baking_powder=4)).powder == pytest.approx(4.8)


def test_the_water_of_flour_is_left_out():
    """Water counts as in the ratios: all but the flour's own."""
    made = dough()
    percent = 100 * makeup_of(made).water / makeup_of(made).flour
    assert percent == pytest.approx(made.ratios.moisture_percent)


def test_chill_on_the_reference_fat():
    """At the reference's fat, chilling takes 0.25 off ln F with butter, 0.08 with shortening."""
    of_shortening = REFERENCE._replace(butter_fat=0.0, shortening_fat=45.0)
    for makeup, off in ((REFERENCE, 0.25), (of_shortening, 0.08)):
        before, after = state(makeup), state(makeup, chilled=True)
        assert before.ln_fluidity - after.ln_fluidity == pytest.approx(off)
        assert before.crack_strain - after.crack_strain == pytest.approx(0.02)
        assert before.rise == after.rise


def test_no_dough_flows_more_than_water():
    """A pot of butter with a gram of flour is held to the fluidity of water, and to numbers."""
    flooded = makeup_of(formula(flour=1, unsalted_butter=5000))
    assert all(np.isfinite(state(flooded)))
    assert math.exp(state(flooded).ln_fluidity) < 2e6


def test_makeups_may_be_arrays():
    """A law of arrays of grams is the law of each, as a program's options need it."""
    grams = np.array([300.0, 400.0])
    law = laws_of(5.0, False, MEAN).ln_fluidity
    many = law.times_flour(Makeup(grams, *[10.0] * 7))
    one = [law.times_flour(Makeup(g, *[10.0] * 7)) for g in grams]
    assert list(many) == pytest.approx(one)


def test_draws_follow_the_priors():
    """Draws have the means and spreads of the priors, and are the same every time."""
    draws = PRIORS.draws(4000)
    again = PRIORS.draws(4000)
    for drawn, same, mean, sd in zip(draws, again, PRIORS.mean, PRIORS.sd, strict=True):
        assert np.array_equal(drawn, same)
        assert drawn.mean() == pytest.approx(mean, abs=5 * sd / math.sqrt(4000))
        assert drawn.std() == pytest.approx(sd, rel=0.1)


def test_an_untried_kitchen_knows_less():
    """Before a flat round is measured ln F is spread by 1.5 at least; nothing else differs."""
    assert UNTRIED_KITCHEN.sd.ln_fluidity == 1.5
    assert Priors(PRIORS.mean, PRIORS.sd._replace(ln_fluidity=1.5)) == UNTRIED_KITCHEN
