"""Lines set aside: a line of text never refuses its recipe, and is accounted for once."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.brief import RecipeToWeigh
from models.pantry import known_pantry
from models.reading import Reading, SetAside, understand_line
from models.recipe import Recipe
from models.weighing import Weighing

ASIDE = [
    ("For the icing:", "heading"),
    ("## Dough", "heading"),
    ("DOUGH", "heading"),
    ("Preheat the oven to 350°F and line two trays.", "not_food"),
    ("Mix the butter and sugar until pale and fluffy.", "not_food"),
    ("Den Ofen auf 180 °C vorheizen.", "not_food"),
    ("Makes 24 lanterns", "not_food"),
    ("Prep time: 20 minutes", "not_food"),
    ("parchment paper", "not_food"),
    ("Backpapier", "not_food"),
    ("flour, for dusting", "for_serving"),
    ("Mehl zum Bestäuben", "for_serving"),
    ("powdered sugar to decorate", "for_serving"),
    ("sprinkles", "no_amount"),
    ("Note: the dough keeps for a week", "note"),
    ("3 cans of fairy dust", "unread"),
]


@pytest.mark.parametrize(("text", "code"), ASIDE)
def test_why_a_line_is_set_aside(text, code):
    """Headings, steps, facts, paper, what is for the board: each under its code, with words."""
    meant = understand_line(text, known_pantry())
    assert isinstance(meant, SetAside)
    assert meant.aside.code == code
    assert meant.aside.message


@pytest.mark.parametrize(
    "text", ["2 cups flour", "1 1/2 tsp baking soda", "250 g Mehl", "1 pinch salt", "2 large eggs"]
)
def test_what_is_of_the_dough_counts(text):
    """A measured ingredient is never set aside."""
    assert isinstance(understand_line(text, known_pantry()), Reading)


PARTS = [
    "For the dough:",
    "3 cups flour",
    "1 cup butter",
    "Dry spices:",
    "1 tsp ground ginger",
    "For the icing:",
    "2 cups powdered sugar",
    "2 tbsp milk",
]


def recipe(lines, **members) -> Recipe:
    text = json.dumps({"lines": [{"text": line} for line in lines], **members})
    return Recipe.model_validate_json(text)


def test_the_dough_is_the_part_with_the_flour():
    """What stands under the icing is another part's; a heading that only groups divides nothing."""
    made = recipe(PARTS)
    assert made.counted == (1, 2, 4)
    assert [m.aside.code for m in made.understood if isinstance(m, SetAside)] == [
        *["heading"] * 3,
        *["other_part"] * 2,
    ]


def test_another_part_may_be_asked_for():
    """The part that the caller names is the dough."""
    assert recipe(PARTS, part="For the icing").counted == (6, 7)


def test_lines_keep_their_places():
    """In a weighing each line stands where it stood, its grams null where it was set aside."""
    weighing = Weighing.of(RecipeToWeigh(recipe=recipe(PARTS)))
    assert len(weighing.lines) == len(PARTS)
    assert weighing.lines[6].aside.code == "other_part"
    assert weighing.lines[6].grams is None
    assert weighing.lines[1].grams == 375


def test_an_unread_line_makes_an_answer_doubtful():
    """It is named with its place; read strictly it is refused there."""
    doubtful = recipe(["2 cups flour", "3 cans of fairy dust"])
    assert [line.line for line in doubtful.doubtful] == [2]
    with pytest.raises(ValueError, match="fairy dust"):
        RecipeToWeigh(recipe=doubtful, reading="strict")


def test_a_line_may_be_pinned():
    """A pinned line keeps its words and takes the figures, or stays out."""
    made = Recipe.model_validate_json(
        json.dumps(
            {
                "lines": [
                    {"text": "2 cups flour"},
                    {
                        "text": "a bar of the good butter",
                        "ingredient": "unsalted butter",
                        "quantity": 200,
                        "unit": "g",
                    },
                    {"text": "1 cup sugar", "aside": True},
                ]
            }
        )
    )
    assert [float(r.amount.grams) for r in made.readings()] == [250, 200]
    assert Recipe.model_validate_json(made.model_dump_json()) == made


@given(st.lists(st.text(min_size=1, max_size=80), min_size=1, max_size=12))
def test_whatever_comes_in_every_line_is_accounted_for(texts):
    """Any text makes a recipe; every line is read or set aside, once and in order."""
    made = recipe(texts)
    assert len(made.understood) == len(texts)
    assert all(isinstance(meant, Reading | SetAside) for meant in made.understood)
