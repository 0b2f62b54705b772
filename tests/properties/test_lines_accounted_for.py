"""Whatever text is pasted, every line of it is answered once and in order, and nothing fails."""

import json

from hypothesis import assume, example, given
from hypothesis import strategies as st

from models.weighing import RecipeToWeigh, Weighing
from service.reading.page_text import looks_like_a_page
from service.reading.recipe_text import RecipeText, read_recipe
from tests.models.reading.test_lines_as_published import LINES
from tests.models.reading.whole_recipes import pasted_recipes

WRITTEN = [row["line"] for row in LINES]
PASTED = [text for one in pasted_recipes() for text, _ in one.lines]
WORDS = """
    0 1 -3 1/2 ½ 1e308 ２ 7,5 1.2.3 ( ) [ ] { | ; : , . + - – — * / = % ° x × & ™ # @ 🧈 g kg cup
    cups EL TL Pck. c. à soupe oz can packages of each je plus or oder ou butter Mehl farine sucre
    eggs Zucker coconut vegan gluten-free for pour zum mit
"""
UNSEEN = ("\u00ad", "\u202e", "\u00a0", "\x00", "\x1b[31m", "\ufeff", "\u0301", "\ud7ff", "\t")
PIECES = [*WORDS.split(), *UNSEEN]
ANY_LINE = st.one_of(
    st.sampled_from(WRITTEN),
    st.sampled_from(PASTED),
    st.lists(st.sampled_from(PIECES), max_size=14).map(" ".join),
    st.lists(st.sampled_from(PIECES), max_size=14).map("".join),
    st.tuples(st.sampled_from(WRITTEN), st.sampled_from(WRITTEN)).map(" ".join),
    st.text(max_size=60),
)


def without_blanks(text):
    return "".join(text.split())


@given(st.lists(ANY_LINE, min_size=1, max_size=25))
@example(["<", ">", "{}", "[1]", '{"a": 1}'])
@example(["2 cups", "2 cups", "flour", "1", "250 g"])
def test_every_line_is_answered_once_in_order(lines):
    """What is answered, put together, is the text; each line counts or says why it does not, and
    the recipe sent on is answered line by line as well."""
    text = "\n".join(lines)
    assume(without_blanks(text) and not looks_like_a_page(text))
    reading = read_recipe(RecipeText(text=text))
    assert "".join(without_blanks(line.text) for line in reading.lines) == without_blanks(text)
    numbers = [line.line for line in reading.lines]
    assert numbers == sorted(set(numbers))
    for line in reading.lines:
        assert (line.aside is None) == (line.ingredient is not None) == (line.grams is not None)
        assert line.aside is None or line.aside.message
    if reading.recipe is None:
        return
    sent = json.dumps({"recipe": reading.recipe.model_dump(mode="json")})
    weighed = Weighing.of(RecipeToWeigh.model_validate_json(sent)).lines
    assert [x.grams for x in weighed] == [x.grams for x in reading.lines]
    assert [x.ingredient for x in weighed] == [x.ingredient for x in reading.lines]
