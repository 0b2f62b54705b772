"""Phrases of the command line: what was typed becomes a member of a request, or is refused."""

from argparse import ArgumentTypeError

import pytest

from service.command_line.phrases import (
    edit,
    named_number,
    number,
    number_range,
    ratio_range,
    round_test,
)


@pytest.mark.parametrize(
    ("typed", "bounds"),
    [("2.1:2.4", {"min": 2.1, "max": 2.4}), (":1.0", {"max": 1.0}), (".3:", {"min": 0.3})],
)
def test_a_range_has_a_colon(typed, bounds):
    """MIN:MAX, with either side left out."""
    assert number_range(typed) == bounds


def test_a_bound_of_a_ratio_names_it_with_dashes_or_underscores():
    """The ratio may be written as an option or as in the answer."""
    assert ratio_range("liquid-per-flour=0.3:") == ("liquid_per_flour", {"min": 0.3})
    assert ratio_range("liquid_per_flour=:1") == ("liquid_per_flour", {"max": 1.0})


def test_a_name_may_hold_an_equals_sign():
    """The last equals sign parts the number from the name."""
    assert named_number("a=b sugar=10") == ("a=b sugar", 10.0)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("unsalted butter=-10%", {"ingredient": "unsalted butter", "change_percent": -10.0}),
        ("egg=+50 %", {"ingredient": "egg", "change_percent": 50.0}),
        ("molasses=100 g", {"ingredient": "molasses", "quantity": 100.0, "unit": "g"}),
        ("flour=1 1/2 cups", {"ingredient": "flour", "quantity": 1.5, "unit": "cup"}),
        ("milk=1/2 fl oz", {"ingredient": "milk", "quantity": 0.5, "unit": "fl_oz"}),
        ("egg=2", {"ingredient": "egg", "quantity": 2.0, "unit": "each"}),
        ("egg=0 each", {"ingredient": "egg", "quantity": 0.0, "unit": "each"}),
        ("butter->lard", {"ingredient": "butter", "replace_with": "lard"}),
        ("butter -> lard@fat", {"ingredient": "butter", "replace_with": "lard", "basis": "fat"}),
    ],
)
def test_an_edit_is_a_percentage_an_amount_or_a_replacement(typed, meant):
    """Each form of an edit becomes the members that the service takes."""
    assert edit(typed) == meant


@pytest.mark.parametrize(
    ("read", "typed"),
    [
        (number, "nan"),
        (number, "1e999"),
        (number, "1,5"),
        (number, ""),
        (number, "٣"),
        (number_range, "2.1"),
        (number_range, ":"),
        (number_range, "a:b"),
        (number_range, "1:2:3"),
        (ratio_range, "flour=1:2"),
        (ratio_range, "flour-to-fat"),
        (named_number, "=3"),
        (named_number, "sugar="),
        (edit, "butter"),
        (edit, "butter=much"),
        (edit, "butter=1 spoonful"),
        (edit, "butter=1/0 cup"),
        (edit, "butter=x%"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_write(read, typed):
    """A phrase that means nothing is refused in words that show what was seen or is expected."""
    with pytest.raises(ArgumentTypeError) as refused:
        read(typed)
    assert (
        "write" in str(refused.value) or "form" in str(refused.value) or "are" in str(refused.value)
    )


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("60:4.8:+3.5", {"diameter_mm": 60.0, "thickness_mm": 4.8, "grew_mm": 3.5}),
        (
            "2 1/2 in:3/16 in:3.5:chilled",
            {
                "diameter_mm": "2 1/2 in",
                "thickness_mm": "3/16 in",
                "grew_mm": 3.5,
                "chilled": True,
            },
        ),
    ],
)
def test_a_round_is_how_wide_how_thick_and_what_it_grew(typed, meant):
    """Lengths in millimetres or with their unit; the growth in millimetres, with or without +."""
    assert round_test(typed) == meant


@pytest.mark.parametrize("typed", ["60:4.8", "60", "60:4.8:", "60:4:3:2", "60:4.8:much", ":::"])
def test_a_round_lacks_nothing(typed):
    """Anything else is refused with an example."""
    with pytest.raises(ArgumentTypeError, match=r"write"):
        round_test(typed)
