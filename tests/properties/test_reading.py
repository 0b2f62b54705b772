"""What holds for every line whatever it says, and for every amount that is written out and read."""

import sys
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from models.measures import CUPS_PER, GRAMS_PER, METRIC_SPOONS, Amount, Part, Term, grams_of
from models.pantry import known_pantry
from models.reading import UnreadableLine, read_line

WORDS = """
    0 1 2 3 1/2 ½ 1½ 1.5 1,000 2-3 .5 -1 1/0 a an half dozen one two between to or and plus + & -
    – / x × ( ) [ , . : ; = cup cups c T t tbsp tsp g kg oz fl lb ml l stick packet can each pinch
    dash knob about scant heaping egg eggs yolk whites large medium flour butter sugar brown milk
    salt lemon juice of the from packed sifted loosely unpacked softened optional taste for extra
    more none % proof ° C F min inch into at d'amandes half-and-half œuf \x00 \u202e 🏮
"""

LINES = st.one_of(
    st.text(max_size=60),
    st.lists(st.sampled_from(WORDS.split()), max_size=12).map(" ".join),
    st.lists(st.sampled_from(WORDS.split()), max_size=12).map("".join),
)

MIXED_NUMBERS = st.builds(
    lambda whole, part: whole + part,
    st.integers(0, 40),
    st.sampled_from([Fraction(0), *(Fraction(n, d) for d in (2, 3, 4, 8) for n in range(1, d))]),
)
TENTHS = st.integers(1, 50_000).map(lambda tenths: Fraction(tenths, 10))


@pytest.fixture(autouse=True, scope="module")
def _stocked():
    """The pantry is read from its table before anything is timed or counted."""
    known_pantry()


@given(LINES)
def test_any_text_is_read_or_refused(text):
    """A line ends in grams from nothing to a million, or in UnreadableLine with advice."""
    try:
        reading = read_line(text, known_pantry())
    except UnreadableLine as refused:
        assert str(refused)
    else:
        assert 0 <= reading.amount.grams <= 1_000_000
        assert all(part.grams >= 0 for part in reading.amount.parts)
        assert reading.ingredient in [part.ingredient for part in reading.amount.parts]
        assert reading.amount.measure


def _units_of(ingredient):
    """The units in which the ingredient has a weight."""
    units = list(GRAMS_PER)
    if ingredient.cup_grams is not None:
        units += [*CUPS_PER, *METRIC_SPOONS]
    if ingredient.grams_per_unit is not None:
        units.append(ingredient.unit_name)
    return units


def _amount_of(ingredient, term):
    if term.unit in METRIC_SPOONS:
        grams = grams_of(term.quantity * METRIC_SPOONS[term.unit], "ml", ingredient)
    elif term.unit == ingredient.unit_name:
        grams = grams_of(term.quantity, "each", ingredient)
    else:
        grams = grams_of(term.quantity, term.unit, ingredient)
    return grams


@st.composite
def measured_amounts(draw):
    """An ingredient of the pantry with one to three terms of one kind of measuring."""
    ingredient = draw(st.sampled_from(list(known_pantry())))
    unit = draw(st.sampled_from(_units_of(ingredient)))
    if unit in GRAMS_PER or unit in {"ml", "l"}:
        terms = [Term(draw(TENTHS), unit)]
    elif unit in {"cup", "tbsp", "tsp"}:
        terms = [Term(draw(MIXED_NUMBERS), unit) for unit in ("cup", "tbsp", "tsp")]
    elif unit in METRIC_SPOONS:
        terms = [Term(Fraction(draw(st.integers(0, 9))), spoon) for spoon in METRIC_SPOONS]
    else:
        terms = [Term(draw(MIXED_NUMBERS), unit)]
    grams = sum((_amount_of(ingredient, term) for term in terms), Fraction(0))
    assume(grams <= 1_000_000)
    return Amount((Part(ingredient, grams),), tuple(terms))


@given(measured_amounts())
def test_an_amount_written_out_is_read_back_to_the_same_grams(amount):
    """Every measure that is shown is one that can be typed in again, for every known ingredient."""
    ingredient = amount.parts[0].ingredient
    reading = read_line(f"{amount.measure} {ingredient.name}", known_pantry())
    assert reading.ingredient == ingredient
    assert reading.amount.grams == amount.grams


@given(st.integers(0, 12), st.integers(1, 3), st.sampled_from(["yolk", "white"]))
def test_eggs_with_a_yolk_or_white_are_read_back_piece_by_piece(wholes, extra, piece):
    """ "2 eggs + 1 yolk" beside the name "egg" keeps its pieces apart."""
    egg, part = known_pantry().find("egg"), known_pantry().find(f"egg {piece}")
    terms = (Term(Fraction(wholes), "egg"), Term(Fraction(extra), piece))
    written = Amount((), terms).measure
    amount = read_line(f"{written} {egg.name}", known_pantry()).amount
    by_name = {each.ingredient.name: each.grams for each in amount.parts}
    assert by_name.get(egg.name, 0) == grams_of(Fraction(wholes), "each", egg)
    assert by_name[part.name] == grams_of(Fraction(extra), "each", part)


@given(measured_amounts(), st.sampled_from(["softened", "sifted", "melted and cooled", "divided"]))
def test_the_name_may_come_first_and_handling_last(amount, handling):
    """The order of name and amount, and what is done later, change no grams."""
    ingredient = amount.parts[0].ingredient
    assume(amount.measure != "none")
    reading = read_line(f"{ingredient.name}: {amount.measure}, {handling}", known_pantry())
    assert reading.ingredient == ingredient
    assert reading.amount.grams == amount.grams


def _steps_to_read(text):
    """Count the calls made while a line is read; unlike time, they do not depend on the machine."""
    calls = 0

    def count(frame, event, argument):
        nonlocal calls
        calls += event in {"call", "c_call"}

    sys.setprofile(count)
    try:
        read_line(text, known_pantry())
    except UnreadableLine:
        pass
    finally:
        sys.setprofile(None)
    return calls


@pytest.mark.parametrize(
    "piece",
    [
        *("1", "1/", "1 ", "1-", "1,", "1 (", "1 x ", "1 and ", "half ", "½", "a ", "twenty-"),
        *("1 cup ", "1 lb 4 oz ", "1 cup or ", "1 cup plus ", "1 egg + ", "2 to ", "between "),
        *("(", ")", "[", " ", "~", ".", "-", "about ", "just about ", "flour ", "butter, "),
        *("1 cup flour plus ", "1 cup flour (x) ", "or x ", "x", "a'", "d'", "%", "e9", "1e"),
        *("salted butter, ", "not understood ", "2% ", "for ", "\u0301", "fl. ", "c. à "),
    ],
)
def test_the_work_grows_in_line_with_the_text(piece):
    """Twice the text is about twice the work, however often a pattern is repeated."""
    opening = "1 cup flour "
    short, long = (opening + piece * (characters // len(piece)) for characters in (900, 1800))
    _steps_to_read(long)  # what is loaded once, at first need, is not the work of a line
    assert _steps_to_read(long) <= 2.6 * _steps_to_read(short) + 500
