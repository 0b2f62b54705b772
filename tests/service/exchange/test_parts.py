"""Which lines are plainly no part of the dough, and what becomes of a recipe with such lines."""

import pytest

from service.exchange.entry import entry_of, written_lines

DOUGH = ["3 1/2 cups flour", "1 cup unsalted butter", "1 egg"]


def read(*lines):
    return entry_of("lantern", "Lantern dough", lines, {})


def test_a_recipe_that_reads_holds_all_its_lines():
    """Where every line reads there is nothing unread, and the lines are kept once."""
    entry = read(*DOUGH)
    assert [line.text for line in entry.recipe.lines] == DOUGH
    assert entry.unread == ()
    assert entry.extras == {}


@pytest.mark.parametrize(
    "line",
    [
        "2 handfuls of petals",
        "3 cups of zorkling",
        "a few lantern petals",
        "two zorklings",
        "butter",
        "1/0 cup flour",
        "Bake 10 minutes at 180 °C",
        "x" * 2001,
    ],
)
def test_a_recipe_is_never_made_of_the_rest(line):
    """Where a line that may belong to the dough cannot be read, there is no recipe at all."""
    entry = read(*DOUGH, line)
    assert entry.recipe is None
    assert [(x.line, x.text) for x in entry.unread] == [(4, line)]
    assert entry.unread[0].message
    assert written_lines(entry) == [*DOUGH, line]


@pytest.mark.parametrize(
    "line",
    [
        "For the dough:",
        "## Dry ingredients",
        "**Lantern dough**",
        "FOR THE DOUGH",
        "--- wet ---",
        "sprinkles",
        "flour, for dusting",
        "butter for the tin",
        "salt",
    ],
)
def test_what_is_plainly_no_part_of_the_dough_is_set_aside(line):
    """Headings, and things without an amount that no ratio counts, are named and left out."""
    entry = read(DOUGH[0], line, *DOUGH[1:])
    assert [x.text for x in entry.recipe.lines] == DOUGH
    assert [(x.line, x.text) for x in entry.unread] == [(2, line)]
    assert entry.extras["recipeIngredient"] == [DOUGH[0], line, *DOUGH[1:]]


def test_an_icing_is_not_the_doughs():
    """What stands under the heading of an icing is set aside until the next heading."""
    entry = read("Icing:", "2 cups powdered sugar", "1 handful of dust", "Dough:", *DOUGH)
    assert [x.text for x in entry.recipe.lines] == DOUGH
    assert [x.line for x in entry.unread] == [1, 2, 3, 4]
    assert "Icing" in entry.unread[1].message


def test_a_line_marked_as_icing_is_not_the_doughs():
    """A label in front of a line counts for that line alone."""
    entry = read("Glaze: 1 cup powdered sugar", *DOUGH)
    assert [x.text for x in entry.recipe.lines] == DOUGH


def test_a_dough_with_a_filling_in_its_name_is_a_dough():
    """A heading that names the dough opens the dough, whatever else it names."""
    assert read("For the filling dough:", *DOUGH).recipe is not None


def test_nothing_but_icing_is_no_recipe():
    """A recipe of which every line is set aside has no dough."""
    assert read("Icing:", "2 cups powdered sugar").recipe is None


def test_a_recipe_without_lines_says_so():
    """A recipe without ingredients is none, and says why."""
    entry = read("", "  ")
    assert entry.recipe is None
    assert "no ingredients" in entry.unread[0].message


def test_too_many_lines_are_not_read():
    """More than 200 lines are kept as they are and not read one by one."""
    entry = read(*["1 egg"] * 100_000)
    assert entry.recipe is None
    assert [x.line for x in entry.unread] == [201]
    assert len(written_lines(entry)) == 100_000


def test_own_ingredients_come_with_the_recipe():
    """An ingredient of the caller's own reads like any other, and is kept where nothing reads."""
    own = [{"name": "zorkling", "role": "flour", "water_percent": 13, "grams_per_cup": 130}]
    extras = {"custom_ingredients": own}
    read_whole = entry_of("z", None, ["2 cups zorkling"], extras)
    assert read_whole.recipe.custom_ingredients[0].name == "zorkling"
    assert read_whole.extras == {}
    unread = entry_of("z", None, ["2 cups zorkling", "2 cups blorp"], extras)
    assert unread.extras["custom_ingredients"] == own


def test_a_recipe_without_a_name_is_named_by_its_content():
    """The same content has the same name, another has another."""
    first, same, other = (entry_of(None, "A", lines, {}) for lines in (DOUGH, DOUGH, DOUGH[:2]))
    assert first.external_id == same.external_id
    assert first.external_id != other.external_id
