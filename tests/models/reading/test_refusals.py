"""Lines that cannot be read, each refused with what was seen and what to do."""

import pytest

from models.pantry import known_pantry
from models.reading import UnreadableLine, read_line


def refusal_of(text):
    with pytest.raises(UnreadableLine) as refused:
        read_line(text, known_pantry())
    return refused.value


REFUSED = {
    "": "gives no amount",
    "   ": "gives no amount",
    "flour": '"flour" gives no amount',
    "NaN g flour": "gives no amount",
    "∞ cups flour": "gives no amount",
    "2 cups": "names no ingredient",
    "½": "names no ingredient",
    "3 dragonfruits": '"dragonfruits" is not a known ingredient',
    "1 can dragonfruit": "is not a known ingredient",
    "2 flour": "neither a unit that is known nor the weight of a piece",
    "2 butter": "If 2 sticks are meant",
    "2 cans butter": "what one of these weighs is not known",
    "1 cup dark chocolate": "what a cup of it weighs is not known",
    "3 dark chocolate": "neither a unit that is known",
    "1/0 cup flour": "cannot be read as a number",
    "1e9 cups flour": "cannot be read as a number",
    "1.2.3 cups flour": "cannot be read as a number",
    "-2 cups flour": "less than nothing",
    "−2 cups flour": "less than nothing",
    "-½ cup flour": "less than nothing",
    "flour -2 cups": "less than nothing",
    "2 3 cups flour": "two numbers in a row",
    "1 000 g flour": "two numbers in a row",
    "2 115 g flour": "two numbers in a row",
    "2000000 g flour": "more than any kitchen weighs out",
    "1000 kg 5 g flour": "more than a million grams",
    "900000 cups flour": "more than a million grams",
    "bake 10 min at 180 C": "a time, a heat or a length",
    "bake 1 sheet 10 minutes": "a time, a heat or a length",
    "10 minutes": "a time, a heat or a length",
    "heat to 180 °C": "a time, a heat or a length",
    "a few walnuts": '"few" is no measure',
    "some flour": '"some" is no measure',
    "salt and ginger to taste": "names both salt and ground ginger",
    "egg or 2 whites": "gives no amount",
    "1 stick + 2 butter": "If 2 sticks are meant",
    "8 fluid cups milk": "neither a unit that is known",
    "1 oz egg + egg yolk": "names both egg and egg yolk",
    "flour and 2 eggs": "gives no amount",
    "none dragonfruit": "gives no amount",
}


@pytest.mark.parametrize(("text", "said"), REFUSED.items())
def test_a_line_that_cannot_be_read_is_refused_with_advice(text, said):
    """The refusal is whole sentences: what was seen, and then what to do."""
    refused = refusal_of(text)
    assert said in str(refused)
    assert str(refused).endswith((".", "?"))


def test_an_unknown_ingredient_is_answered_with_the_nearest_known_ones():
    """Near misses stand in the message and apart; the part that could not be read is named."""
    refused = refusal_of("2 cans all-purpos flower")
    assert refused.suggestions[0] == "all-purpose flour"
    assert "all-purpose flour" in str(refused)
    assert refused.rest == "all-purpos flower"


def test_a_line_longer_than_the_limit_is_refused_at_once():
    """Two thousand characters are read, one more is not."""
    note = "2 cups flour" + " " * 1988
    assert read_line(note, known_pantry()).amount.grams == 250
    assert "2001 characters" in str(refusal_of(note + " "))
    assert "1000000 characters" in str(refusal_of("9" * 1_000_000))
