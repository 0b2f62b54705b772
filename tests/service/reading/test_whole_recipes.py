"""Whole recipes: every line as it was judged by hand, and the same dough wherever it goes."""

import json

import pytest

from models.brief import RecipeToWeigh
from models.formula import Formula
from models.weighing import Weighing
from service.exchange.entry import entry_of
from service.page.fields import Fields
from service.page.understood import understand_lines
from service.reading.recipe_text import RecipeText, read_recipe
from tests.models.reading.whole_recipes import pasted_recipes

RECIPES = pasted_recipes()


def meaning_of(line):
    return line.aside.code if line.aside else f"{line.ingredient} {line.grams:.6g}"


@pytest.mark.parametrize("pasted", RECIPES, ids=lambda pasted: pasted.name)
def test_every_line_means_what_a_baker_takes_it_for(pasted):
    """Each line that is not blank is answered once, in order, none of them refused."""
    reading = read_recipe(RecipeText(text=pasted.text))
    said = [(line.text, meaning_of(line)) for line in reading.lines]
    assert said == [(text.strip(), truth) for text, truth in pasted.lines if text.strip()]
    assert reading.unread == ()
    assert (reading.language, reading.title or "") == (pasted.language, pasted.title)
    assert (reading.makes or "") == pasted.makes


@pytest.mark.parametrize("pasted", RECIPES, ids=lambda pasted: pasted.name)
def test_the_same_text_gives_the_same_dough_everywhere(pasted):
    """What a reading answers, sent on, is read alike; so are an import and the page."""
    reading = read_recipe(RecipeText(text=pasted.text))
    sent = json.dumps({"recipe": reading.recipe.model_dump(mode="json")})
    weighing = Weighing.of(RecipeToWeigh.model_validate_json(sent))
    assert [line.grams for line in weighing.lines] == [line.grams for line in reading.lines]
    imported = entry_of("a", None, [line.text for line in reading.lines], {}).recipe
    assert Formula.from_recipe(imported).total_grams == pytest.approx(weighing.total_grams)
    understood = understand_lines(Fields({"lines": (pasted.text,)}))
    assert understood.total_grams == weighing.total_grams


@pytest.mark.parametrize("pasted", RECIPES[:12], ids=lambda pasted: pasted.name)
def test_a_line_may_be_pinned_in_a_whole_recipe(pasted):
    """A pin takes the figures and keeps the words; a line set aside by hand counts no more."""
    reading = read_recipe(RecipeText(text=pasted.text))
    recipe = reading.recipe.model_dump(mode="json")
    first, second = [at for at, line in enumerate(reading.lines) if line.grams][:2]
    recipe["lines"][first] |= {"ingredient": "all-purpose flour", "quantity": 321, "unit": "g"}
    recipe["lines"][second]["aside"] = True
    weighing = Weighing.of(RecipeToWeigh.model_validate_json(json.dumps({"recipe": recipe})))
    assert (weighing.lines[first].ingredient, weighing.lines[first].grams) == (
        "all-purpose flour",
        321,
    )
    assert weighing.lines[second].grams is None
    others = [k for k in range(len(reading.lines)) if k not in (first, second)]
    assert [weighing.lines[k].grams for k in others] == [reading.lines[k].grams for k in others]
