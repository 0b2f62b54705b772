"""What a formula makes of flow, rise and crack strain, gram by gram."""

import json

import numpy as np
import pytest

from models.brief import RecipeToWeigh
from models.pantry import known_pantry
from solver.mechanics.belief import middle
from solver.mechanics.dough import (
    Substances,
    gas_percent,
    state_of,
    substances_of,
    substances_per_gram,
)

CUSTOM = [
    {
        "name": "village fat",
        "role": "fat",
        "water_percent": 0,
        "fat_percent": 100,
        "fat_kind": "firm",
    },
    {"name": "butter-flavoured oil", "role": "fat", "water_percent": 0, "fat_percent": 100},
]
REFERENCE = Substances(100, 45, 0, 0, 0, 50, 18, 12, 0, 0, 0, 0.15)
"""The dough that the belief speaks of, in grams to 100 g of solids."""


def formula(**grams):
    lines = [
        {"ingredient": name.replace("_", " "), "quantity": amount, "unit": "g"}
        for name, amount in grams.items()
    ]
    recipe = {"lines": lines, "custom_ingredients": CUSTOM}
    return RecipeToWeigh.model_validate_json(json.dumps({"recipe": recipe})).formula


def dough(**grams):
    basic = {"flour": 400, "unsalted_butter": 200, "sugar": 200, "egg": 50, "baking_powder": 4}
    return formula(**(basic | grams))


def test_the_reference_dough():
    """It grows by 1.5 mm, rises by 0.15 + 1.4 × 0.15 and bears 0.21, by the medians."""
    state = state_of(REFERENCE, False, middle())
    assert np.exp(state.ln_growth) == pytest.approx(1.5)
    assert state.rise == pytest.approx(0.36)
    assert state.crack_strain == pytest.approx(0.21)


@pytest.mark.parametrize(
    ("more", "ln_growth", "crack_strain"),
    [
        ({"fat": 1}, 0.050, -0.0005),
        ({"fat": 1, "firm_fat": 1}, 0.048, -0.0005),
        ({"fat": 1, "oil_fat": 1}, 0.064, -0.0005),
        ({"sugars": 1}, 0.055, 0),
        ({"water": 1}, 0.040, 0),
        ({"egg": 1}, -0.035, 0.001),
    ],
)
def test_the_slopes(more, ln_growth, crack_strain):
    """One per cent more of a thing moves the dough by the middle of what is believed."""
    changed = REFERENCE._replace(**{name: getattr(REFERENCE, name) + 1 for name in more})
    before, after = (state_of(m, False, middle()) for m in (REFERENCE, changed))
    assert after.ln_growth - before.ln_growth == pytest.approx(ln_growth)
    assert after.crack_strain - before.crack_strain == pytest.approx(crack_strain, abs=1e-12)


def test_gas_beyond_what_raises_only_escapes():
    """Beyond 0.6 % of gas a dough rises no more, and flows on."""
    states = [state_of(REFERENCE._replace(gas=g), False, middle()) for g in (0.6, 0.7)]
    assert states[0].rise == states[1].rise
    assert states[1].ln_growth - states[0].ln_growth == pytest.approx(0.065)


@pytest.mark.parametrize(
    ("soda", "acid", "potash", "gas"),
    [
        (1.0, 0.0, 0.0, 0.262 * 0.7),  # heat alone, cut short
        (1.0, 0.5, 0.0, 0.262 * 0.7 + 0.5 * (0.524 - 0.262 * 0.7)),
        (1.0, 1.0, 0.0, 0.524),  # all of it met
        (1.0, 2.0, 0.0, 0.524),  # acid left over
        (0.0, 1.0, 1.0, 0.262),  # potash gives half of what its soda would, with acid only
        (0.0, 0.0, 1.0, 0.0),
        (1.0, 1.5, 1.0, 0.524 + 0.5 * 0.262),
    ],
)
def test_how_soda_meets_acid(soda, acid, potash, gas):
    """By stoichiometry: soda first meets the acid, then potash; heat gives half of soda's gas."""
    made = Substances(100, *[0] * 7, soda, acid, potash, 0)
    assert gas_percent(made, 0.7) == pytest.approx(gas)


def test_a_dough_is_the_sum_of_its_grams():
    """What a dough is made of adds up gram by gram, as a program needs."""
    mixed = dough(lard=30, honey=20, baking_soda=2, egg_yolk=17, whole_milk=15, almond_flour=40)
    by_grams = sum(
        float(line.grams) * np.array(substances_per_gram(line.ingredient)) for line in mixed.lines
    )
    assert np.array(substances_of(mixed)) == pytest.approx(by_grams)


def test_scaling_changes_nothing():
    """Twice the dough is the same dough."""
    once, twice = (state_of(substances_of(d), False, middle()) for d in (dough(), dough().times(2)))
    assert list(twice) == pytest.approx(list(once), rel=1e-12)


@pytest.mark.parametrize(
    ("name", "kind", "share"),
    [
        ("unsalted butter", "butter_fat", 0.8111),
        ("ghee", "butter_fat", 0.9948),
        ("vegetable shortening", "firm_fat", 0.9997),
        ("lard", "firm_fat", 1),
        ("margarine", "firm_fat", 0.8071),
        ("coconut oil", "firm_fat", 0.9906),
        ("olive oil", "oil_fat", 1),
        ("heavy cream", None, 0),
        ("peanut butter", None, 0),
    ],
)
def test_what_kind_of_fat(name, kind, share):
    """Each fat's kind is a property of the table; cream brings plain fat, inclusions nothing."""
    made = substances_per_gram(known_pantry().find(name))
    kinds = {k: getattr(made, k) for k in ("butter_fat", "firm_fat", "oil_fat")}
    assert kinds == pytest.approx({k: share * (k == kind) for k in kinds})


def test_a_bakers_own_fats():
    """A fat of the caller's is of the kind that the caller says, whatever it is called."""
    plain = substances_of(dough())
    made = substances_of(dough(**{"village_fat": 20, "butter-flavoured_oil": 10}))
    assert made.firm_fat == plain.firm_fat + 20
    assert (made.butter_fat, made.oil_fat) == (plain.butter_fat, plain.oil_fat)
    assert made.fat == pytest.approx(plain.fat + 30)


@pytest.mark.parametrize(
    ("name", "solids", "fat"),
    [
        ("all-purpose flour", 1, 0),
        ("cornstarch", 1, 0),
        ("cocoa powder", 1, 0),
        ("nonfat dry milk", 1, 0),
        ("oat flour", 1, 0),
        ("almond flour", 1 - 0.5252, 0.5252),
        ("rolled oats", 0, 0),
        ("ground ginger", 0, 0),
        ("baking soda", 0, 0),
    ],
)
def test_what_counts_as_solid(name, solids, fat):
    """Flours, starches, cocoa and dry milk gram for gram; of a nut meal its fat is fat."""
    made = substances_per_gram(known_pantry().find(name))
    assert (made.solids, made.fat, made.water) == pytest.approx((solids, fat, 0))


def test_chilling_acts_through_firm_fat():
    """At 45 % of butter fat chilling takes 0.25 off ln q, of other firm fats 0.3 as much."""
    for kind, off in (("butter_fat", 0.25), ("firm_fat", 0.075), ("oil_fat", 0.0)):
        made = REFERENCE._replace(**{kind: 45})
        warm, cold = (state_of(made, chilled, middle()) for chilled in (False, True))
        assert warm.ln_growth - cold.ln_growth == pytest.approx(off)
        assert warm.crack_strain == cold.crack_strain
