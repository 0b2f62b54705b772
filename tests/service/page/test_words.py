"""Numbers and lengths as people read them."""

import pytest

from models.dimension import read_length_mm
from service.page.words import both_lengths, estimate_words, length, ratio_number


@pytest.mark.parametrize(
    ("typed", "both"),
    [
        ("4 mm", ("4 mm", "5/32 in")),
        ("80 mm", ("80 mm", "3 5/32 in")),
        ("1 1/2 in", ("38.1 mm", "1 1/2 in")),
        ("9 cm", ("90 mm", "3 17/32 in")),
    ],
)
def test_a_length_is_offered_in_both_units(typed, both):
    """A length with its unit is written in millimetres and in inches, and both can be read back."""
    assert both_lengths(typed) == both
    for written in both:
        assert read_length_mm(written) == pytest.approx(read_length_mm(typed), abs=0.4)


@pytest.mark.parametrize("typed", ["", "80", "thin", "0 mm", "99999 in"])
def test_what_is_no_length_is_offered_in_none(typed):
    """Words, plain numbers and lengths out of all reason are left alone."""
    assert both_lengths(typed) is None


def test_inches_come_with_their_millimetres():
    """In inches, a length says both; no-break spaces hold number and unit together."""
    assert length(3.175, "in") == "1/8\u00a0in (3.17\u00a0mm)"
    assert length(3.175, "mm") == "3.17\u00a0mm"


def test_no_estimate_claims_to_be_certain():
    """A chance is about so much with its range; at its ends it is over or under."""
    assert estimate_words(19.7, 2.1, 99.9) == "about 20\u00a0% (anywhere from 2 to 100\u00a0%)"
    assert estimate_words(99.7, 46, 100).startswith("over 99")
    assert estimate_words(0.2, 0, 3).startswith("under 1")


def test_a_ratio_without_a_denominator_is_a_dash():
    """Flour to fat of a dough without fat is shown as nothing, not as nought."""
    assert ratio_number("flour_to_fat", None) == "–"
    assert ratio_number("moisture_percent", 24.26) == "24.3\u00a0%"
