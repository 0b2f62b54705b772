"""The table of ingredients against the law: what a food must hold to bear its name.

Source: United States Code and Code of Federal Regulations, section by section. Where the figure,
not the section, is from memory the line says so.
"""

from collections.abc import Callable
from typing import NamedTuple

import pytest

from models.ingredient import Ingredient
from models.pantry import known_pantry


def water(one: Ingredient) -> float:
    return one.water_percent


def fat(one: Ingredient) -> float:
    return one.fat_percent


def solids(one: Ingredient) -> float:
    return 100 - one.water_percent


class Standard(NamedTuple):
    """What the law asks of `food`: its `share` lies from `least` to `most` percent."""

    food: str
    share: Callable[[Ingredient], float]
    least: float
    most: float
    law: str


STANDARDS = [
    Standard("unsalted butter", fat, 80, 100, "21 U.S.C. 321a"),
    Standard("salted butter", fat, 80, 100, "21 U.S.C. 321a"),
    Standard("margarine", fat, 80, 100, "21 CFR 166.110"),
    Standard("unsalted margarine", fat, 80, 100, "21 CFR 166.110"),
    # The same section's 99.6 % fat is missed by 0.12: USDA prints 0.28 % protein in butter oil.
    Standard("ghee", water, 0, 0.3, "7 CFR 58.347, butteroil"),
    Standard("all-purpose flour", water, 0, 15, "21 CFR 137.105, figure from memory"),
    Standard("bread flour", water, 0, 15, "21 CFR 137.105, figure from memory"),
    Standard("cake flour", water, 0, 15, "21 CFR 137.105, figure from memory"),
    Standard("pastry flour", water, 0, 15, "21 CFR 137.105, figure from memory"),
    Standard("whole wheat flour", water, 0, 15, "21 CFR 137.200"),
    Standard("semolina", water, 0, 15, "21 CFR 137.320"),
    Standard("cream cheese", fat, 33, 100, "21 CFR 133.133"),
    Standard("cream cheese", water, 0, 55, "21 CFR 133.133"),
    Standard("heavy cream", fat, 36, 100, "21 CFR 131.150"),
    Standard("sour cream", fat, 18, 100, "21 CFR 131.160"),
    Standard("sweetened condensed milk", fat, 8, 100, "21 CFR 131.120"),
    Standard("whole milk", fat, 3.25, 100, "21 CFR 131.110, figure from memory"),
    Standard("cocoa powder", fat, 10, 21.99, "21 CFR 163.113: less than 22"),
    Standard("Dutch-process cocoa powder", fat, 10, 21.99, "21 CFR 163.113: less than 22"),
    Standard("egg yolk", solids, 43, 100, "21 CFR 160.180"),
    Standard("dried whole egg", solids, 95, 100, "21 CFR 160.105"),
    Standard("maple syrup", solids, 66, 100, "21 CFR 168.140, soluble solids"),
    Standard("glucose syrup", solids, 70, 100, "21 CFR 168.120"),
    Standard("light corn syrup", solids, 70, 100, "21 CFR 168.120"),
    Standard("dark corn syrup", solids, 70, 100, "21 CFR 168.120"),
]


def known(name: str) -> Ingredient:
    found = known_pantry().find(name)
    assert found is not None
    return found


@pytest.mark.parametrize(
    "standard", STANDARDS, ids=lambda one: f"{one.food}: {one.share.__name__}, {one.law}"
)
def test_a_food_meets_the_standard_of_its_name(standard: Standard) -> None:
    """Each food holds as much fat or solids, and as little water, as its name demands."""
    assert standard.least <= standard.share(known(standard.food)) <= standard.most


def test_a_spread_is_not_margarine() -> None:
    """The 60 % spread is too lean to bear the name margarine, and is not found by it alone."""
    spread = known("baking spread")
    assert spread.fat_percent < 80  # 21 CFR 166.110
    assert known("margarine") is not spread


def test_molasses_reaches_its_grade() -> None:
    """Molasses is as sweet as grade A asks, and its solids come within a point of 79 Brix.

    Source: US Standards for Grades of Sugarcane Molasses (USDA, 1959): at least 79 Brix and 63.5 %
    sugars. Brix is read from the density, where dissolved salts weigh in as if they were sugar, so
    it stands above the solids found by drying that the table knows.
    """
    molasses = known("molasses")
    assert molasses.sugars_percent >= 63.5
    assert solids(molasses) == pytest.approx(79, abs=1)


@pytest.mark.parametrize(
    ("size", "dozen_ounces"),
    [("jumbo", 30), ("extra large", 27), ("large", 24), ("medium", 21), ("small", 18)],
)
def test_eggs_of_all_classes_are_one_part_shell(size: str, dozen_ounces: int) -> None:
    """An egg of each class holds 88.5 % of the least its class may weigh, to the whole gram.

    Source of the ounces a dozen, shell on: 7 Pa. Code 87.42, after the US classes. The share is
    ours, one figure for all five.
    """
    shell_on_grams = dozen_ounces * 28.349523125 / 12
    assert known(f"{size} egg").grams_per_unit == round(0.885 * shell_on_grams)
