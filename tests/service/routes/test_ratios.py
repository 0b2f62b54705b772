"""POST /v1/ratios: a recipe by weight."""

import pytest

from tests.service.problem_checks import problem_in


def test_the_lantern_dough_is_weighed(client, lantern):
    """Grams, baker's percentages and ratios of the lantern dough, worked by hand."""
    weighing = client.post("/v1/ratios", json={"recipe": lantern["recipe"]}).json()
    flour, butter = weighing["lines"][:2]
    assert (flour["grams"], flour["measure"], flour["bakers_percent"]) == (437.5, "3 1/2 cups", 100)
    assert butter["bakers_percent"] == pytest.approx(100 * 227 / 437.5)
    assert weighing["ratios"]["flour_to_fat"] == 1.9273127753303965
    assert weighing["total_grams"] == pytest.approx(sum(x["grams"] for x in weighing["lines"]))
    assert weighing["allergens"]["us"] == ["milk", "eggs", "wheat"]


def test_without_flour_the_ratios_are_null(client):
    """A recipe without flour is weighed, with nothing to divide by."""
    recipe = {"lines": [{"ingredient": "unsalted butter", "quantity": 100, "unit": "g"}]}
    weighing = client.post("/v1/ratios", json={"recipe": recipe}).json()
    assert set(weighing["ratios"].values()) == {None}
    assert weighing["lines"][0]["bakers_percent"] is None


@pytest.mark.parametrize("strength", [0.149, 0.401, True, "0.25", None])
def test_a_powder_strength_out_of_bounds_is_a_fault(client, strength):
    """Baking powder is worth 0.15 to 0.40 of its weight in soda."""
    recipe = {"lines": [{"text": "2 cups flour"}]}
    answer = client.post("/v1/ratios", json={"recipe": recipe, "powder_strength": strength})
    [fault] = problem_in(answer, 422)["errors"]
    assert fault["pointer"] == "/powder_strength"


def test_an_unknown_ingredient_is_named_with_near_ones(client):
    """A name that is not known is a fault that names the nearest known ones."""
    lines = [
        {"ingredient": "all-purpose flour", "quantity": 2, "unit": "cup"},
        {"ingredient": "vegatable shortenning", "quantity": 1, "unit": "cup"},
    ]
    answer = client.post("/v1/ratios", json={"recipe": {"lines": lines}})
    [fault] = problem_in(answer, 422)["errors"]
    assert fault["pointer"] == "/recipe/lines/1/ingredient"
    assert "vegetable shortening" in fault["message"]


def test_a_query_is_refused(client):
    """What a body says is not said in the address."""
    answer = client.post("/v1/ratios?powder_strength=0.2", json={})
    assert problem_in(answer, 422)["errors"][0]["pointer"] == "/query/powder_strength"
