"""Reformulated recipes on their way out read back as what was proposed."""

from typing import Any

import pytest

from models.formula import Formula
from models.outcome import Outcome
from service.exchange.entry import Entry, entry_of, written_lines
from service.exchange.json_ld import entries_in, recipe_object
from service.exchange.reformulated import reformulated
from solver.reformulate import reformulate
from tests.conftest import brief_of
from tests.generated_recipes import generated_brief


def forever() -> float:
    return 60.0


def proposed(outcome: Outcome) -> list[tuple[str, float]]:
    return [(x.ingredient, x.after.grams) for x in outcome.lines if x.after and x.after.grams]


def weighed(entry: Entry) -> list[tuple[str, float]]:
    assert entry.recipe is not None
    return [(x.name, float(x.grams)) for x in Formula.from_recipe(entry.recipe).lines]


@pytest.mark.parametrize("seed", range(8))
def test_what_goes_out_weighs_what_was_proposed(seed):
    """Each line of a reformulated recipe reads back as the proposed grams of its ingredient."""
    brief = generated_brief(seed)
    outcome = reformulate(brief, forever)
    entry = Entry(
        external_id="x", title=brief.recipe.title, recipe=brief.recipe, unread=(), extras={}
    )
    after = reformulated(entry, outcome)
    if outcome.outcome == "infeasible":
        assert after == entry
        return
    found, expected = weighed(after), proposed(outcome)
    assert [name for name, _ in found] == [name for name, _ in expected]
    assert [grams for _, grams in found] == pytest.approx([grams for _, grams in expected])
    (again,) = entries_in(recipe_object(after))
    assert [grams for _, grams in weighed(again)] == pytest.approx(
        [grams for _, grams in expected], rel=1e-5
    )


def test_what_did_not_move_is_as_it_was_written(lantern: dict[str, Any]):
    """Headings and lines that did not move keep their words and places; the extras stay."""
    words = [
        "For the dough:",
        "3½ cups all-purpose flour, sifted",
        "1 cup (227 g) unsalted butter",
        "1 large egg",
        "3/4 cup packed brown sugar",
        "1/3 cup molasses",
        "1 1/2 tsp baking soda",
        "1 tbsp ground ginger",
        "1/2 tsp salt",
        "For the icing:",
        "2 cups powdered sugar",
    ]
    entry = entry_of("lantern", "Lantern", words, {"recipeYield": "1 lantern"})
    lantern["recipe"] = {"lines": [x.model_dump() for x in entry.recipe.lines]}
    after = reformulated(entry, reformulate(brief_of(lantern), forever))
    changed = {1: "3 2/3 cups + 3 tbsp all-purpose flour", 6: "1 tsp baking soda"}
    assert written_lines(after) == [changed.get(at, line) for at, line in enumerate(words)]
    assert recipe_object(after)["recipeYield"] == "1 lantern"


def test_a_recipe_that_is_none_stays_as_it_is(lantern: dict[str, Any]):
    """Where there is no recipe there is nothing to put new amounts in."""
    entry = entry_of("x", None, [], {})
    assert reformulated(entry, reformulate(brief_of(lantern), forever)) == entry


def test_a_food_beyond_the_pantry_comes_out_at_its_new_size():
    """What only its own line tells of is written back as that line was, and reads back the same."""
    texts = ["3 cups banana flour", "1 cup emu oil", "1 cup sugar", "1 egg", "1 tsp baking soda"]
    brief = brief_of(
        {
            "recipe": {"title": "Odd", "lines": [{"text": text} for text in texts]},
            "window": {"flour_to_fat": {"min": 2.0}},
            "batch": {"factor": 2},
        }
    )
    outcome = reformulate(brief)
    odd = Entry(external_id="x", title="Odd", recipe=brief.recipe, unread=(), extras={})
    entry = reformulated(odd, outcome)
    assert [float(r.amount.grams) for r in entry.recipe.readings()] == pytest.approx(
        [line.after.grams for line in outcome.lines]
    )
    assert entry.recipe.lines[0].text == "6 cups banana flour"
    assert entry.recipe.lines[3].text == "2 eggs"
