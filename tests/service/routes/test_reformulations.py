"""POST /v1/reformulations: the main job over HTTP."""

import pytest

from tests.service.problem_checks import problem_in


def ask(client, brief, **more):
    return client.post("/v1/reformulations", json={**brief, **more})


def test_the_lantern_dough_is_reformulated(client, lantern):
    """The answer that was worked by hand: flour up to 3 2/3 cups and spoons, soda down to 1 tsp."""
    outcome = ask(client, lantern).json()
    lines = {line["ingredient"]: line for line in outcome["lines"]}
    assert outcome["outcome"] == "reformulated"
    assert outcome["window"]["flour_to_fat"] == {"min": 2.1, "max": 2.4, "from": "caller"}
    assert lines["all-purpose flour"]["after"] == {
        "grams": 481.7708333333333,
        "measure": "3 2/3 cups + 3 tbsp",
        "scoops": [
            {"quantity": 3, "unit": "cup"},
            {"quantity": 2, "unit": "1/3 cup"},
            {"quantity": 3, "unit": "tbsp"},
        ],
    }
    assert lines["baking soda"]["after"]["measure"] == "1 tsp"
    assert [x["ingredient"] for x in outcome["lines"] if x["moved"]] == [
        "all-purpose flour",
        "baking soda",
    ]
    cost = {name: round(value, 6) for name, value in outcome["cost"].items()}
    assert cost == {
        "total": 0.390524,
        "change": 0.234524,
        "moved_lines": 0.1,
        "scoops": 0.056,
        "left_out": 0,
        "sheet": 0,
    }
    assert outcome["proof"]["status"] == "optimal"


def test_lines_come_in_the_order_of_the_recipe(client, lantern):
    """The answer keeps the recipe's order."""
    outcome = ask(client, lantern).json()
    assert [x["ingredient"] for x in outcome["lines"]] == [
        x["ingredient"] for x in lantern["recipe"]["lines"]
    ]


def test_a_no_is_an_answer(client, lantern):
    """A brief that cannot be met is 200, with limits that collide and what would work."""
    outcome = ask(client, lantern, window={"flour_to_fat": {"min": 9}}).json()
    assert outcome["outcome"] == "infeasible"
    assert outcome["conflicts"]
    assert (outcome["cost"], outcome["proof"], outcome["ratios"]["after"]) == (None, None, None)


def test_what_is_said_to_work_works(client, lantern):
    """Sending a relaxation back makes the brief feasible."""
    window = {"flour_to_fat": {"min": 9}}
    conflicts = ask(client, lantern, window=window).json()["conflicts"]
    relax_to = {c["limit"]: c["relax_to"] for c in conflicts}["flour_to_fat.min"]
    relaxed = ask(client, lantern, window={"flour_to_fat": {"min": relax_to}}).json()
    assert relaxed["outcome"] == "reformulated"


FAULTY = {
    "no aim": ({"window": None}, ""),
    "least above most": (
        {"window": {"flour_to_fat": {"min": 3, "max": 2}}},
        "/window/flour_to_fat",
    ),
    "an unknown ratio": ({"window": {"flour_to_sugar": {"min": 1}}}, "/window/flour_to_sugar"),
    "a negative bound": ({"window": {"flour_to_fat": {"min": -1}}}, "/window/flour_to_fat/min"),
    "kept but not there": ({"limits": {"keep": ["honey"]}}, "/limits/keep/0"),
    "bounded but not there": (
        {"limits": {"max_change_percent": {"honey": 5}}},
        "/limits/max_change_percent/honey",
    ),
    "added but there": ({"limits": {"may_add": ["molasses"]}}, "/limits/may_add/0"),
    "added but never moving": ({"limits": {"may_add": ["walnuts"]}}, "/limits/may_add/0"),
    "above 100 percent": (
        {"limits": {"max_flour_change_percent": 101}},
        "/limits/max_flour_change_percent",
    ),
    "an unknown role": ({"weights": {"spirit": 1}}, "/weights/spirit"),
    "a negative weight": ({"weights": {"flour": -1}}, "/weights/flour"),
    "an unknown system": ({"measures": "imperial"}, "/measures"),
    "two sizes": ({"batch": {"factor": 2, "dough_grams": 500}}, "/batch"),
    "no size": ({"batch": {"factor": 0}}, "/batch/factor"),
    "an unknown member": ({"colour": "brown"}, "/colour"),
    "zero flour": (
        {
            "recipe": {
                "lines": [
                    {"ingredient": "all-purpose flour", "quantity": 0, "unit": "g"},
                    {"ingredient": "unsalted butter", "quantity": 100, "unit": "g"},
                ]
            }
        },
        "/recipe/lines",
    ),
    "no lines": ({"recipe": {"lines": []}}, "/recipe/lines"),
    "too many lines": ({"recipe": {"lines": [{"text": "1 egg"}] * 201}}, "/recipe/lines"),
    "a line too long": (
        {"recipe": {"lines": [{"text": "2 cups flour"}, {"text": "x" * 2001}]}},
        "/recipe/lines/1/text",
    ),
}


@pytest.mark.parametrize("name", FAULTY)
def test_a_fault_is_named_where_it_stands(client, lantern, name):
    """Each malformed brief is 422 with a pointer to its fault."""
    members, pointer = FAULTY[name]
    problem = problem_in(ask(client, lantern, **members), 422)
    assert pointer in {fault["pointer"] for fault in problem["errors"]}


def test_all_faults_are_reported_together(client, lantern):
    """Faults in the recipe, the window and the batch come in one answer."""
    lines = [*lantern["recipe"]["lines"], {"ingredient": "sand", "quantity": 1, "unit": "g"}]
    answer = ask(
        client,
        lantern,
        recipe={"lines": lines},
        window={"egg_percent": {"min": 2, "max": 1}},
        batch={},
    )
    pointers = {fault["pointer"] for fault in problem_in(answer, 422)["errors"]}
    assert pointers == {"/recipe/lines/8/ingredient", "/window/egg_percent", "/batch"}


def test_a_bound_on_a_fat_that_is_not_there_cannot_hold(client):
    """Without fat no bound on flour to fat holds: an honest no, not an error."""
    recipe = {"lines": [{"text": "2 cups flour"}, {"text": "1 egg"}]}
    outcome = ask(client, {"recipe": recipe, "window": {"flour_to_fat": {"max": 100}}}).json()
    assert outcome["outcome"] == "infeasible"
