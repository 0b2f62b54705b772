"""Edits judged without optimising."""

import copy
import json

import pytest
from pydantic import ValidationError

from models.errors import BadInput
from models.what_if import WhatIf
from solver.what_if import judge


def ask(lantern, *edits, **members):
    value = {"recipe": copy.deepcopy(lantern["recipe"]), "edits": list(edits), **members}
    return judge(WhatIf.model_validate_json(json.dumps(value)))


def refused(lantern, *edits) -> dict[str, str]:
    with pytest.raises(ValidationError) as failure:
        ask(lantern, *edits)
    return {fault.pointer: fault.message for fault in BadInput.of(failure.value).faults}


def test_an_edit_by_percent_moves_the_ratios(lantern):
    """A tenth more flour: flour to fat up a tenth."""
    judged = ask(lantern, {"ingredient": "flour", "change_percent": 10})
    before, after = judged.ratios.before, judged.ratios.after
    assert after.flour_to_fat == pytest.approx(1.1 * before.flour_to_fat)
    assert judged.recipe.lines[0].quantity == pytest.approx(481.25)
    assert judged.recipe.lines[1:] == ask(lantern).recipe.lines[1:]


@pytest.mark.parametrize(
    "edit",
    [
        {"ingredient": "baking soda", "grams": 4.6},
        {"ingredient": "baking soda", "quantity": 1, "unit": "tsp"},
    ],
)
def test_an_edit_by_grams_or_measure_sets_the_amount(lantern, edit):
    """A teaspoon of soda is 4.6 g."""
    after = ask(lantern, edit).ratios.after
    assert after.soda_equivalent_percent == pytest.approx(100 * 4.6 / 437.5)


def test_each_stated_bound_is_judged(lantern):
    """The window, the ratios held and the changes; the default flour limit was not stated."""
    judged = ask(
        lantern,
        {"ingredient": "flour", "change_percent": 12},
        {"ingredient": "molasses", "grams": 100},
        window={"flour_to_fat": {"min": 2.1, "max": 2.4}},
        limits={"keep": ["molasses"], "liquid_per_flour": {"min": 0.4}},
    )
    assert {b.limit: b.holds for b in judged.bounds} == {
        "flour_to_fat.min": True,
        "flour_to_fat.max": True,
        "limits.liquid_per_flour.min": False,
        "keep.molasses": False,
    }


def test_equal_fat_names_the_water_that_goes(lantern):
    """227 g of butter at 81.11 % fat are 184.2 g of shortening at 99.97 %; 40.7 g of water go."""
    edit = {
        "ingredient": "unsalted butter",
        "replace_with": "vegetable shortening",
        "basis": "fat",
    }
    judged = ask(lantern, edit)
    line = judged.recipe.lines[1]
    assert line.ingredient == "vegetable shortening"
    assert line.quantity == pytest.approx(227 * 81.11 / 99.97)
    (note,) = judged.notes
    assert "40.72 g of water" in note
    assert "add as much liquid" in note
    fat = judged.ratios
    assert fat.after.moisture_percent < fat.before.moisture_percent


def test_a_replacement_by_weight_keeps_the_weight_and_names_new_allergens(lantern):
    """227 g of butter, 227 g of margarine; almonds for flour bring tree nuts."""
    same = ask(lantern, {"ingredient": "butter", "replace_with": "lard"})
    assert same.recipe.lines[1].quantity == 227
    nuts = ask(lantern, {"ingredient": "molasses", "replace_with": "almond meal"})
    assert "tree nuts" in nuts.allergens.us
    assert nuts.cautions[0].code == "new_allergen"


def test_a_line_edited_to_nothing_is_left_out(lantern):
    """Without flour the ratios are null and no ratio bound holds."""
    judged = ask(
        lantern,
        {"ingredient": "flour", "grams": 0},
        window={"flour_to_fat": {"min": 0}},
    )
    assert len(judged.recipe.lines) == 7
    assert judged.ratios.after.flour_to_fat is None
    assert [b.holds for b in judged.bounds] == [False]
    assert judged.notes == ("all-purpose flour is left out.",)


def test_the_edited_recipe_can_be_asked_about_again(lantern):
    """What comes back goes in again, and weighs the same."""
    once = ask(lantern, {"ingredient": "flour", "change_percent": 10})
    again = {"recipe": json.loads(once.recipe.model_dump_json()), "edits": []}
    twice = judge(WhatIf.model_validate_json(json.dumps(again)))
    assert twice.ratios.before == once.ratios.after


def test_all_faulty_edits_are_named_together(lantern):
    """Each with its place in the request and what to do."""
    faults = refused(
        lantern,
        {"ingredient": "saffron", "grams": 1},
        {"ingredient": "salt"},
        {"ingredient": "molasses", "replace_with": "lard", "basis": "fat"},
    )
    assert "give one of change_percent" in faults["/edits/1"]
    faults = refused(
        lantern,
        {"ingredient": "saffron", "grams": 1},
        {"ingredient": "molasses", "replace_with": "water", "basis": "fat"},
        {"ingredient": "flour", "grams": 1},
        {"ingredient": "flour", "grams": 2},
        {"ingredient": "salt", "quantity": 1, "unit": "each"},
    )
    assert set(faults) == {
        "/edits/0/ingredient",
        "/edits/1/replace_with",
        "/edits/3/ingredient",
        "/edits/4/unit",
    }
    assert "no fat" in faults["/edits/1/replace_with"]


@pytest.mark.parametrize("amount", [{"grams": 30.75}, {"quantity": 2, "unit": "tbsp"}])
def test_an_ingredient_may_be_added(lantern, amount):
    """Two spoons of milk: its weight joins the liquid, its water is told, its allergen is warned
    of, and the recipe to send on weighs the same."""
    judged = ask(lantern, {"add": "whole milk", **amount})
    before, after = judged.ratios.before, judged.ratios.after
    added = 437.5 * (after.liquid_per_flour - before.liquid_per_flour)
    assert added == pytest.approx(30.5, abs=0.5)  # 244 g a cup: USDA SR 28, 01077
    assert judged.recipe.lines[-1].ingredient == "whole milk"
    assert "whole milk added, which brings" in judged.notes[-1]
    again = {"recipe": json.loads(judged.recipe.model_dump_json()), "edits": []}
    assert judge(WhatIf.model_validate_json(json.dumps(again))).ratios.before == after


def test_what_is_added_stands_with_the_dough(lantern):
    """Where an icing follows, the new line stands before its heading and counts in the dough."""
    lantern["recipe"]["lines"] += [{"text": "For the icing:"}, {"text": "200 g powdered sugar"}]
    judged = ask(lantern, {"add": "water", "grams": 20})
    words = [getattr(line, "text", None) or line.ingredient for line in judged.recipe.lines]
    assert words[-3:] == ["water", "For the icing:", "200 g powdered sugar"]
    again = {"recipe": json.loads(judged.recipe.model_dump_json()), "edits": []}
    assert judge(WhatIf.model_validate_json(json.dumps(again))).ratios.before == judged.ratios.after


def test_what_cannot_be_added_is_named(lantern):
    """An unknown ingredient, one that is there already, one without an amount or with two."""
    faults = refused(
        lantern,
        {"add": "moonrock", "grams": 1},
        {"add": "butter", "grams": 1},
        {"add": "water", "grams": 1},
        {"add": "water", "grams": 2},
        {"add": "whole milk", "quantity": 1, "unit": "each"},
    )
    assert set(faults) == {f"/edits/{i}/{'unit' if i == 4 else 'add'}" for i in (0, 1, 3, 4)}
    assert "already" in faults["/edits/1/add"]
    faults = refused(lantern, {"add": "water"}, {"add": "milk", "grams": 1, "unit": "cup"})
    assert all("say how much" in message for message in faults.values())
    assert len(faults) == 2
    assert (
        "give add instead"
        in refused(lantern, {"ingredient": "saffron", "grams": 1})["/edits/0/ingredient"]
    )
