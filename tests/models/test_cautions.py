"""Cautions and allergens that a dough calls for."""

import json

import pytest

from models.brief import RecipeToWeigh
from models.cautions import added_allergen_cautions, allergens_of, cautions_for
from models.formula import Formula


def dough(*lines: str, custom=()) -> Formula:
    recipe = {"lines": [{"text": line} for line in lines], "custom_ingredients": list(custom)}
    return RecipeToWeigh.model_validate_json(json.dumps({"recipe": recipe})).formula


def codes(*lines: str, custom=()) -> list[str]:
    return [caution.code for caution in cautions_for(dough(*lines, custom=custom))]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("1 cup flour", "raw_flour"),
        ("1 egg", "raw_egg"),
        ("1 tsp baker's ammonia", "bakers_ammonia"),
        ("1 cup honey", "honey_infants"),
        ("1 tsp ground cinnamon", "coumarin"),
        ("1 packet active dry yeast", "yeast_not_counted"),
        ("1 tsp potash", "potash_needs_acid"),
    ],
)
def test_what_can_hurt_is_named(line, code):
    """The dough with it has the caution, the dough without it has not."""
    with_it = ["2 cups rice flour", line]
    assert code in codes(*with_it)
    if code != "raw_flour":
        assert code not in codes("2 cups rice flour")


def test_much_soda_is_named():
    """Half a teaspoon of soda to a cup of flour is still usual; a whole one is much."""
    assert "much_soda" not in codes("1 cup flour", "1/2 tsp baking soda")
    assert "much_soda" in codes("1 cup flour", "1 tsp baking soda")


def test_every_caution_names_its_source_and_defers():
    """A source beside each, and the local code and practitioner last."""
    cautions = cautions_for(dough("1 cup flour", "1 egg", "1 tsp honey"))
    assert all(caution.source for caution in cautions)
    assert cautions[-1].code == "averages"
    assert "local food code" in cautions[-1].text


def test_allergens_come_in_the_order_of_each_law():
    """Milk before eggs before wheat in the US, gluten first in the EU."""
    allergens = allergens_of(dough("1 cup flour", "1 egg", "100 g butter"))
    assert allergens.us == ("milk", "eggs", "wheat")
    assert allergens.eu == ("cereals containing gluten", "eggs", "milk")


def test_rye_is_no_us_allergen_but_holds_gluten():
    """A swap of wheat for rye frees a dough of nothing in the EU."""
    allergens = allergens_of(dough("1 cup light rye flour"))
    assert allergens.us == ()
    assert allergens.eu == ("cereals containing gluten",)


REED_FLOUR = {"name": "reed flour", "role": "flour", "water_percent": 10}
BOG_SALT = {"name": "bog salt", "role": "leavener", "water_percent": 0}


def test_what_is_not_known_of_a_callers_ingredient_is_said():
    """Unknown allergens, and a leavener that says nothing of its strength."""
    found = codes("100 g reed flour", "5 g bog salt", custom=[REED_FLOUR, BOG_SALT])
    assert found.count("allergens_unknown") == 2
    assert "uncounted_leavener" in found


def test_allergens_of_a_callers_own_class_come_last():
    """Classes that no list has are kept, after those that one has."""
    nettle = {**REED_FLOUR, "allergens_us": ["nettle", "wheat"], "allergens_eu": ["nettle"]}
    allergens = allergens_of(dough("100 g reed flour", custom=[nettle]))
    assert allergens.us == ("wheat", "nettle")
    assert allergens.eu == ("nettle",)


def test_a_change_that_brings_an_allergen_says_so():
    """Almonds for flour bring tree nuts; flour for almonds brings wheat back."""
    wheat, almond = dough("1 cup flour"), dough("1 cup almond meal")
    (caution,) = added_allergen_cautions(wheat, almond)
    assert "tree nuts" in caution.text
    assert added_allergen_cautions(wheat, wheat) == ()
