"""Lines that leave room for doubt: what is read all the same, and what is said of it."""

from fractions import Fraction

import pytest

from models.pantry import known_pantry
from models.reading import read_line
from models.reading.doubts import SEVERITY, Uncertain, gravest, quoted

OUNCE = Fraction("28.349523125")

DOUBTFUL = {
    "2-3 cups flour": ("range", Fraction(625, 2), "middle, 2 1/2"),
    "2 to 3 tbsp milk": ("range", Fraction(305, 8), "middle, 2 1/2"),
    "2 cups to 3 cups flour": ("range", Fraction(625, 2), "middle"),
    "between 2 and 3 cups flour": ("range", Fraction(625, 2), "middle"),
    "eggs 2-3": ("range", 125, "middle"),
    "2-3 (8 oz) packages cream cheese": ("range", 20 * OUNCE, "middle"),
    "1,000 g flour": ("number", 1000, '"1,000" was read as 1000'),
    "1,250 kg flour": ("number", 1250, '"1,250" was read as 1.25'),
    "1.250 g salt": ("number", Fraction(5, 4), '"1.250" was read as 1.25'),
    "1,000 g - 1,200 g flour": ("number", 1100, '"1,000" was read as 1000'),
    "1 kg 1,200 g flour": ("number", 2200, '"1,200" was read as 1200'),
    "about 2 cups flour": ("about", 250, "exactly"),
    "2 medium eggs": ("size", 88, "as in the US"),
    "a scant cup flour": ("about", 125, "scant"),
    "1 heaping tbsp sugar": ("about", Fraction(25, 2), "heaping"),
    "2 cups flour, or so": ("about", 250, "set aside"),
    "a pinch of salt": ("pinch", Fraction(2, 5), "0.4 g"),
    "pinch salt": ("pinch", Fraction(2, 5), "0.4 g"),
    "2 pinches of salt": ("pinch", Fraction(4, 5), "0.4 g"),
    "a dash of salt": ("pinch", Fraction(2, 5), "0.4 g"),
    "eine Prise Salz": ("pinch", Fraction(2, 5), "0.4 g"),
    "une pincée de sel": ("pinch", Fraction(2, 5), "0.4 g"),
    "salt to taste": ("to_taste", 0, "0 g"),
    "salt, to taste": ("to_taste", 0, "0 g"),
    "2 cups sifted flour": ("filling", 250, "about 116 g"),
    "sifted flour, 2 cups": ("filling", 250, "about 116 g"),
    "2 sifted cups flour": ("filling", 250, "about 116 g"),
    "1 cup unpacked brown sugar": ("filling", 220, "about 145 g"),
    "1 cup brown sugar, loosely packed": ("filling", 220, "about 145 g"),
    "1 cup lightly packed brown sugar": ("filling", 220, "220 g"),
    "1 cup ground pepitas": ("filling", 129, "129 g"),
    "1 cup walnuts (optional)": ("optional", 117, "optional"),
    "1/2 cup butter or margarine": ("alternative", Fraction(227, 2), "unsalted butter was read"),
    "1 cup milk or water": ("alternative", 244, "whole milk was read"),
    "1 cup butter/margarine": ("alternative", 227, "unsalted butter was read"),
    "100 g butter or 90 g margarine": ("alternative", 100, "margarine was set aside"),
    "2 cups flour, plus 2 tbsp for dusting": ("extra", 250, "2 tbsp for dusting"),
    "1 cup magic flour": ("words", 125, "magic"),
    "1 tsp fresh cinnamon": ("words", Fraction(13, 5), "fresh"),
    "2 cups 00 flour": ("words", 250, "00"),
    "2 cups ∞ flour": ("words", 250, "∞"),
    "flour 405, 250 g": ("words", 250, "405"),
    "1 large banana": ("size", 118, "118 g"),
    "1 medium egg yolk": ("size", 17, "17 g"),
    "2 white candles": ("words", 66, "candles"),
    "1 cup flour, kept dry on the upper shelf of the lantern shop": (
        "words",
        125,
        "kept dry on the upper shelf of the lantern shop",
    ),
    "1 cup milk, warmed to 1 1/2 cups": ("words", 244, "to 1 1/2 cups"),
    "2 tbsp to 1/4 cup butter": ("words", Fraction(227, 8), "1/4 cup"),
    "2 x 1,000 g flour": ("number", 2000, "2000"),
    "1 (about 8 oz) package cream cheese": ("about", 8 * OUNCE, "about 8 oz"),
    "1 cup flour and lanterns": ("words", 125, "lanterns"),
    "flour, 250 g 00 flour or semolina": ("words", 250, "or semolina"),
    "8 oz milk": ("ounce", 8 * OUNCE, "fl oz"),
    "1 cup (12 g) flour": ("disagreement", 12, "125 g"),
    "2 sticks (113 g) butter": ("disagreement", 113, "226 g"),
    "2 cans (14 oz) molasses": ("each", 14 * OUNCE, "all 2 packs"),
    "2 (50 g) eggs": ("each", 100, "each"),
}


@pytest.mark.parametrize(("text", "expected"), DOUBTFUL.items())
def test_a_line_with_room_for_doubt_is_read_and_says_so(text, expected):
    """The likeliest amount is read, under a code, with a message that names what was taken."""
    reading = read_line(text, known_pantry())
    code, grams, said = expected
    assert reading.amount.grams == grams
    assert reading.uncertain is not None
    assert reading.uncertain.code == code
    assert said in reading.uncertain.message


def test_several_doubts_are_told_together_under_the_gravest():
    """A missed word weighs more than a hedge, and both are told."""
    doubt = read_line("about 2 cups kosher flour, optional", known_pantry()).uncertain
    assert doubt.code == "words"
    assert all(said in doubt.message for said in ("kosher", "about 2 cups", "optional"))


@pytest.mark.parametrize("strange", ["\x00", "\ud800", "\u202e", "\ufeff", "\u0301", "🏮"])
def test_a_character_that_means_nothing_is_doubted_and_never_shown_raw(strange):
    """Controls and lone surrogates neither pass in silence nor reach the message unprintable."""
    doubt = read_line(f"2 cups {strange} flour", known_pantry()).uncertain
    assert doubt.code == "words"
    assert all(character.isprintable() for character in doubt.message)


def test_no_doubt_is_none():
    """A line without doubt carries nothing."""
    assert gravest([]) is None


def test_the_same_doubt_is_told_once():
    """Two pinches on a line are one message."""
    pinch = Uncertain(code="pinch", message="A pinch.")
    assert gravest([pinch, pinch]) == pinch


def test_every_code_is_ranked_once():
    """The order of severity is total."""
    assert len(set(SEVERITY)) == len(SEVERITY)


def test_what_is_quoted_is_short():
    """A message shows the opening of a long line, not all of it."""
    assert len(quoted("flour " * 300)) == 80
