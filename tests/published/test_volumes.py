"""Cups, spoons, ounces and pounds against an independent unit library and the published tables."""

from fractions import Fraction

import pint
import pytest

from models.measures import CUPS_PER, GRAMS_PER, METRIC_SPOONS, ML_PER_CUP

PINT_NAMES = {
    "cup": "cup",
    "tbsp": "tablespoon",
    "tsp": "teaspoon",
    "fl_oz": "fluid_ounce",
    "ml": "milliliter",
    "l": "liter",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
}


@pytest.fixture(scope="module")
def units() -> pint.UnitRegistry[float]:
    """The unit library's own definitions, none added."""
    return pint.UnitRegistry()


def test_a_cup_is_the_us_customary_one(units: pint.UnitRegistry[float]) -> None:
    """A cup is the US customary 236.588 mL, rounded in the third decimal as NIST prints it."""
    assert float(ML_PER_CUP) == round(units.Quantity(1, "cup").to("milliliter").magnitude, 3)


@pytest.mark.parametrize("unit", sorted(CUPS_PER))
def test_volumes_are_those_of_the_unit_library(units: pint.UnitRegistry[float], unit: str) -> None:
    """Each unit of volume is as many cups as the unit library says.

    The cup is rounded to a thousandth of a millilitre, two parts in a million.
    """
    cups = units.Quantity(1, PINT_NAMES[unit]).to("cup").magnitude
    assert float(CUPS_PER[unit]) == pytest.approx(cups, rel=2e-6)


@pytest.mark.parametrize("unit", sorted(GRAMS_PER))
def test_weights_are_those_of_the_unit_library(units: pint.UnitRegistry[float], unit: str) -> None:
    """Each unit of weight is as many grams as the unit library says."""
    grams = units.Quantity(1, PINT_NAMES[unit]).to("gram").magnitude
    assert float(GRAMS_PER[unit]) == pytest.approx(grams, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "printed_ml", "decimals"), [("tsp", 4.9, 1), ("tbsp", 15, 0), ("cup", 237, 0)]
)
def test_volumes_round_to_what_nist_prints(unit: str, printed_ml: float, decimals: int) -> None:
    """Spoon and cup round to the household table of NIST SP 430."""
    assert round(float(ML_PER_CUP * CUPS_PER[unit]), decimals) == printed_ml


@pytest.mark.parametrize(
    ("unit", "label_ml"), [("cup", 240), ("tbsp", 15), ("tsp", 5), ("fl_oz", 30)]
)
def test_labelling_volumes_are_within_a_hundredth_and_a_half(unit: str, label_ml: int) -> None:
    """The rounder volumes of nutrition labels, 21 CFR 101.9(b)(5)(viii), differ by under 1.5 %."""
    assert float(ML_PER_CUP * CUPS_PER[unit]) == pytest.approx(label_ml, rel=0.015)


@pytest.mark.parametrize(
    ("metric", "us_cups"),
    [
        ("15 ml", CUPS_PER["tbsp"]),
        ("5 ml", CUPS_PER["tsp"]),
        ("2.5 ml", CUPS_PER["tsp"] / 2),
        ("1.25 ml", CUPS_PER["tsp"] / 4),
    ],
)
def test_metric_spoons_stand_for_us_spoons(metric: str, us_cups: Fraction) -> None:
    """Each metric spoon is its US counterpart within 1.5 %, as NIST's kitchen table pairs them."""
    assert float(METRIC_SPOONS[metric]) == pytest.approx(float(ML_PER_CUP * us_cups), rel=0.015)


@pytest.mark.parametrize(
    ("cups", "tablespoons", "teaspoons"),
    [
        (Fraction(1, 8), 2, 0),
        (Fraction(1, 4), 4, 0),
        (Fraction(1, 3), 5, 1),
        (Fraction(2, 3), 10, 2),
        (Fraction(1), 16, 0),
        (Fraction(1), 0, 48),
    ],
)
def test_cups_and_spoons_meet_exactly(cups: Fraction, tablespoons: int, teaspoons: int) -> None:
    """Cups part into spoons without remainder: a third is five tablespoons and a teaspoon.

    Source: USDA Family Fare, table of equivalents.
    """
    assert cups == tablespoons * CUPS_PER["tbsp"] + teaspoons * CUPS_PER["tsp"]
