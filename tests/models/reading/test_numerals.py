"""Numbers as cooks write them, each with the exact value it stands for."""

from fractions import Fraction

import pytest

from models.reading.doubts import UnreadableLine
from models.reading.numerals import read_numeral
from models.reading.tokens import TokenLine

EXACT = {
    "3": Fraction(3),
    "12": Fraction(12),
    "0": Fraction(0),
    "1.5": Fraction(3, 2),
    "1,5": Fraction(3, 2),
    ".5": Fraction(1, 2),
    ",25": Fraction(1, 4),
    "2.25": Fraction(9, 4),
    "0.125": Fraction(1, 8),
    "0,125": Fraction(1, 8),
    "1,250,000": Fraction(1_250_000),
    "1.250.000": Fraction(1_250_000),
    "1,250.5": Fraction(2501, 2),
    "1.250,5": Fraction(2501, 2),
    "1/2": Fraction(1, 2),
    "3/4": Fraction(3, 4),
    "3/2": Fraction(3, 2),
    "1 / 2": Fraction(1, 2),
    "1⁄2": Fraction(1, 2),
    "½": Fraction(1, 2),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
    "¼": Fraction(1, 4),
    "¾": Fraction(3, 4),
    "⅕": Fraction(1, 5),
    "⅙": Fraction(1, 6),
    "⅛": Fraction(1, 8),
    "⅜": Fraction(3, 8),
    "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
    "1 1/2": Fraction(3, 2),
    "1-1/2": Fraction(3, 2),
    "1–1/2": Fraction(3, 2),
    "1½": Fraction(3, 2),
    "1 ½": Fraction(3, 2),
    "1-½": Fraction(3, 2),
    "1 1⁄2": Fraction(3, 2),
    "1 & 1/2": Fraction(3, 2),
    "1 + 1/2": Fraction(3, 2),
    "1 and 1/2": Fraction(3, 2),
    "1 and a half": Fraction(3, 2),
    "one": Fraction(1),
    "two": Fraction(2),
    "twelve": Fraction(12),
    "a": Fraction(1),
    "an": Fraction(1),
    "twenty-five": Fraction(25),
    "fifty": Fraction(50),
    "two hundred": Fraction(200),
    "half": Fraction(1, 2),
    "half a": Fraction(1, 2),
    "half of a": Fraction(1, 2),
    "a half": Fraction(1, 2),
    "one half": Fraction(1, 2),
    "one-half": Fraction(1, 2),
    "quarter": Fraction(1, 4),
    "a quarter of a": Fraction(1, 4),
    "three quarters": Fraction(3, 4),
    "three-quarters of a": Fraction(3, 4),
    "3 quarters": Fraction(3, 4),
    "two thirds": Fraction(2, 3),
    "one and a half": Fraction(3, 2),
    "one and one-half": Fraction(3, 2),
    "one and half": Fraction(3, 2),
    "two and three quarters": Fraction(11, 4),
    "a dozen": Fraction(12),
    "half a dozen": Fraction(6),
    "two dozen": Fraction(24),
    "1 1/2 dozen": Fraction(18),
    "HALF": Fraction(1, 2),
}

RANGES = {
    "2-3": Fraction(5, 2),
    "2–3": Fraction(5, 2),
    "2 — 3": Fraction(5, 2),
    "2--3": Fraction(5, 2),
    "2 to 3": Fraction(5, 2),
    "2 or 3": Fraction(5, 2),
    "two to three": Fraction(5, 2),
    "between 2 and 3": Fraction(5, 2),
    "3 to 3 1/2": Fraction(13, 4),
    "3½-4": Fraction(15, 4),
    "1/4-1/2": Fraction(3, 8),
    "1 1/2-2": Fraction(7, 4),
    "2-3 dozen": Fraction(30),
}


@pytest.mark.parametrize(("text", "value"), EXACT.items())
def test_a_number_is_exactly_what_it_says(text, value):
    """Figures, fractions and number words are read to the last token, as exact fractions."""
    line = TokenLine(text)
    numeral = read_numeral(line, 0)
    assert (numeral.value, numeral.end, numeral.ranged) == (value, len(line), False)


@pytest.mark.parametrize(("text", "middle"), RANGES.items())
def test_a_range_has_its_middle_for_its_value(text, middle):
    """Two numbers joined by a dash or "to" are one numeral that knows it is a range."""
    line = TokenLine(text)
    numeral = read_numeral(line, 0)
    assert (numeral.value, numeral.end, numeral.ranged) == (middle, len(line), True)


@pytest.mark.parametrize(
    ("text", "value", "thousands", "comma"),
    [
        ("1,250", Fraction(5, 4), Fraction(1250), True),
        ("1.250", Fraction(5, 4), Fraction(1250), False),
        ("12,500", Fraction(25, 2), Fraction(12500), True),
        ("1,000-1,200", Fraction(11, 10), Fraction(1100), True),
    ],
)
def test_three_figures_after_the_only_mark_may_be_thousands(text, value, thousands, comma):
    """The other number is handed on, because only the unit can tell which one is meant."""
    numeral = read_numeral(TokenLine(text), 0)
    assert (numeral.value, numeral.thousands, numeral.comma) == (value, thousands, comma)


@pytest.mark.parametrize("text", ["1,25", "1,2500", "0,250", "1250", "1,250,000", "1,250.5"])
def test_other_marks_are_not_in_doubt(text):
    """A comma is doubtful only before exactly three figures and after one to three but no zero."""
    assert read_numeral(TokenLine(text), 0).thousands is None


@pytest.mark.parametrize(
    "text",
    [
        "1/0",
        "0/0",
        "1/100",
        "250/300",
        "1/2/3",
        "1.5/2",
        "1 3/2",
        "1.2.3",
        "1,2,3",
        "1,25,000",
        "1e9",
        "1e-3",
        "1234567890123",
    ],
)
def test_a_broken_number_is_refused_with_advice(text):
    """What cannot be one number is named and refused, never half read."""
    with pytest.raises(UnreadableLine, match="cannot be read as a number") as refused:
        read_numeral(TokenLine(text), 0)
    assert refused.value.rest


@pytest.mark.parametrize(
    "text",
    [
        "2% milk",
        "2 % milk",
        "70-85% chocolate",
        "80 proof rum",
        "80-proof rum",
        "00 flour",
        "180 °C",
        "half and half",
        "half & half",
        "half-and-half",
        "a 1/2",
        "flour",
        "NaN",
        "∞",
        "²",
        "٢",
        "",
    ],
)
def test_strengths_names_and_words_are_no_numbers(text):
    """A percentage, a proof, a grade of flour and half-and-half belong to names."""
    assert read_numeral(TokenLine(text), 0) is None


def test_the_second_half_of_half_and_half_is_no_number():
    """Nothing is counted from within a name."""
    assert read_numeral(TokenLine("half and half"), 2) is None
    assert read_numeral(TokenLine("half-and-half"), 4) is None


def test_half_a_cup_of_half_and_half_is_half_a_cup():
    """The share before the name still counts."""
    numeral = read_numeral(TokenLine("half a cup half and half"), 0)
    assert (numeral.value, numeral.end) == (Fraction(1, 2), 2)
