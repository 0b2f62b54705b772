"""Numbers and lengths as people read them."""

import pytest

from models.chance import CrackChance, Demand, Spread
from models.dimension import read_length_mm
from service.page.languages import say_in
from service.page.words import both_lengths, in_ten, kitchens, length, limit, ratio_number


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


def chance(value, low, high):
    strains = Demand(bend=0.1, rise=0.0, flow=0.0, total=0.1)
    spread = Spread(value=value, low=low, high=high)
    grades = (value, value, 0.0, 0.0)
    return CrackChance(
        chance_percent=spread,
        growth_mm=Spread(value=1, low=1, high=1),
        grades_percent=grades,
        demand=strains,
        crack_strain=0.1,
    )


def test_no_estimate_claims_to_be_certain():
    """A chance is so many in ten pieces with its range by kitchen, and never all or none."""
    english = say_in("en")
    assert in_ten(19.7) == "about 2 in 10"
    assert in_ten(99.7) == "nearly all"
    assert in_ten(0.2) == "fewer than 1 in 50"
    assert kitchens(english, chance(19.7, 2.1, 99.9)) == "hardly any to almost all, by kitchen"
    assert kitchens(english, chance(50, 12, 88)) == "1 to 9 in 10, by kitchen"
    assert kitchens(english, chance(50, 49, 52)) == "much the same in every kitchen"


def test_a_limit_is_said_as_chances_are():
    """Twenty per cent is 2 in 10, beside chances that are told so; 25 is no tenth."""
    assert limit(say_in("en"), 20) == "2 in 10"
    assert limit(say_in("en"), 25) == "25 in 100"


def test_a_ratio_without_a_denominator_is_a_dash():
    """Flour to fat of a dough without fat is shown as nothing, not as nought."""
    assert ratio_number("flour_to_fat", None) == "–"
    assert ratio_number("moisture_percent", 24.26) == "24.3\u00a0%"
