"""What a brief may say, and every fault of it at once."""

import json
import math

import pytest
from pydantic import ValidationError

from models.brief import Brief
from models.errors import BadInput
from models.limits import ChangeLimit, RatioLimit
from tests.conftest import brief_of


def faults(value) -> dict[str, str]:
    with pytest.raises(ValidationError) as failure:
        Brief.model_validate_json(json.dumps(value))
    return {fault.pointer: fault.message for fault in BadInput.of(failure.value).faults}


def test_limits_have_the_names_that_answers_use(lantern):
    """Window, ratios held, then changes, the default for flour among them."""
    lantern["limits"] = {
        "keep": ["molasses"],
        "max_change_percent": {"brown sugar": 10},
        "liquid_per_flour": {"min": 0.3},
    }
    limits = brief_of(lantern).named_limits()
    assert [limit.name for limit in limits] == [
        "flour_to_fat.min",
        "flour_to_fat.max",
        "soda_equivalent_percent.max",
        "moisture_percent.min",
        "moisture_percent.max",
        "limits.liquid_per_flour.min",
        "max_flour_change_percent",
        "max_change_percent.brown sugar",
        "keep.molasses",
    ]
    assert isinstance(limits[0], RatioLimit)
    assert isinstance(limits[6], ChangeLimit)
    assert limits[6].percent == 20


def test_all_faults_of_a_brief_are_told_together(lantern):
    """In the recipe, the window, the limits and the batch, each with its pointer."""
    lantern["recipe"]["lines"][1] = {"ingredient": "buter", "quantity": 1, "unit": "g"}
    lantern["window"]["flour_to_fat"] = {"min": 3, "max": 2}
    lantern["limits"]["max_flour_change_percent"] = 101
    lantern["weights"] = {"flouur": 1}
    lantern["batch"] = {"factor": 2, "flour_grams": 100}
    found = faults(lantern)
    assert set(found) == {
        "/recipe/lines/1/ingredient",
        "/window/flour_to_fat",
        "/limits/max_flour_change_percent",
        "/weights/flouur",
        "/batch",
    }
    assert "unsalted butter" in found["/recipe/lines/1/ingredient"]


def test_names_in_limits_must_be_of_the_recipe(lantern):
    """Kept and bounded lines are there; what may enter is not, and may move."""
    lantern["limits"] = {
        "keep": ["honey", "molasses"],
        "max_change_percent": {"lard": 5},
        "may_add": ["butter", "saffron", "salt", "ground cloves", "water", "water"],
    }
    found = faults(lantern)
    assert set(found) == {
        "/limits/keep/0",
        "/limits/max_change_percent/lard",
        "/limits/may_add/0",
        "/limits/may_add/1",
        "/limits/may_add/2",
        "/limits/may_add/3",
        "/limits/may_add/5",
    }
    assert "all-purpose flour" in found["/limits/keep/0"]
    assert "weights" in found["/limits/may_add/3"]


def test_a_brief_aims_somewhere(lantern):
    """A window, a target, or both."""
    del lantern["window"]
    assert "window" in faults(lantern)[""]


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_number_is_without_end(lantern, value):
    """NaN and infinities are refused even where JSON lets them pass."""
    text = json.dumps(lantern).replace("227", json.dumps(value))
    with pytest.raises(ValidationError):
        Brief.model_validate_json(text)


def test_a_recipe_needs_flour(lantern):
    """Every ratio is a share of the flour."""
    lantern["recipe"]["lines"] = [{"text": "1 cup butter"}, {"text": "0 g flour"}]
    lantern["limits"] = {}
    assert "flour" in faults(lantern)["/recipe/lines"]


def test_the_callers_own_ingredients_stand_in_front(lantern):
    """A custom butter of the same name wins over the table's."""
    lantern["recipe"]["custom_ingredients"] = [
        {"name": "unsalted butter", "role": "fat", "water_percent": 30, "fat_percent": 68}
    ]
    formula = brief_of(lantern).formula
    assert formula.lines[1].ingredient.water_percent == 30


def test_custom_ingredients_are_named_once(lantern):
    """Two of one name, and one of none, are told; lines are not judged by them."""
    flour = {"name": "Reed flour", "role": "flour", "water_percent": 10}
    lantern["recipe"]["custom_ingredients"] = [flour, {**flour, "name": "reed  FLOUR"}]
    assert set(faults(lantern)) == {"/recipe/custom_ingredients/1/name"}


@pytest.mark.parametrize(
    ("members", "message"),
    [
        ({"grams_per_cup": 100, "grams_per_teaspoon": 2}, "not both"),
        ({"fat_percent": 95}, "more than 100"),
    ],
)
def test_a_custom_ingredient_makes_sense(lantern, members, message):
    """One weight for a volume, and no more than all of itself."""
    custom = {"name": "reed fat", "role": "fat", "water_percent": 10, **members}
    lantern["recipe"]["custom_ingredients"] = [custom]
    assert message in faults(lantern)["/recipe/custom_ingredients/0"]


def test_a_line_without_a_weight_for_its_unit_says_so(lantern):
    """Gelatin has no cup, flour no piece."""
    lantern["recipe"]["lines"] += [
        {"ingredient": "gelatin powder", "quantity": 1, "unit": "cup"},
        {"ingredient": "flour", "quantity": 1, "unit": "each"},
    ]
    found = faults(lantern)
    assert "give grams" in found["/recipe/lines/8/unit"]
    assert "one piece" in found["/recipe/lines/9/unit"]


def test_a_third_of_a_cup_is_a_third():
    """No JSON number is a third; one that was meant as a third is read as one."""
    recipe = {
        "lines": [
            {"ingredient": "flour", "quantity": 1 / 3, "unit": "cup"},
            {"ingredient": "butter", "quantity": 0.33, "unit": "cup"},
        ]
    }
    third, not_quite = brief_of({"recipe": recipe, "window": {}}).formula.lines
    assert third.amount.measure == "1/3 cup"
    assert third.grams * 3 == 125
    assert not_quite.amount.measure == "0.33 cup"


@pytest.mark.parametrize("size", [{"factor": 1e-4}, {"flour_grams": 5e-324}, {"dough_grams": 0.9}])
def test_a_batch_of_nearly_nothing_is_refused(lantern, size):
    """Less than a gram of dough is nobody's batch; a gram is."""
    [(pointer, message)] = faults({**lantern, "batch": size}).items()
    assert (pointer, "less than 1 g" in message) == ("/batch", True)
    assert brief_of({**lantern, "batch": {"dough_grams": 1}}).batch_factor > 0


def test_hardly_any_flour_is_no_fault_of_ours(lantern):
    """A dough with a million times more liquid than flour can be asked about, form and all."""
    lantern["recipe"]["lines"][0] = {"text": "0.0001 g all-purpose flour"}
    target = {"form": {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 150}}
    brief = brief_of({"recipe": lantern["recipe"], "target": {**target, "thickness_mm": 4}})
    assert "liquid_per_flour.max" not in [limit.name for limit in brief.named_limits()]
