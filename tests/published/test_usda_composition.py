"""The table of ingredients against an older USDA release: composition and household weights.

Source of `data/usda_sr24.csv`: USDA National Nutrient Database for Standard Reference, release 24
(2011), by NDB number. The table itself is from release 28 (2016), so that a figure agrees unless
USDA revised it in between; each revision is named here, with the figure of release 28.
"""

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from models.ingredient import Ingredient
from models.pantry import known_pantry

COMPOSITION = ("water_percent", "fat_percent", "sugars_percent")
TEASPOONS = {"grams_per_cup": 48, "grams_per_tbsp": 3, "grams_per_tsp": 1}

REVISED = {
    # Analysed anew between the releases.
    "coconut oil": {"water_percent": 0.03, "fat_percent": 99.06},
    "cream cheese": {"water_percent": 52.62, "fat_percent": 34.44, "sugars_percent": 3.76},
    "sour cream": {"water_percent": 73.07, "fat_percent": 19.35, "sugars_percent": 3.41},
    "egg, whole, dried": {"water_percent": 2.78, "fat_percent": 43.9, "sugars_percent": 0.56},
    "egg yolk, dried": {"water_percent": 3.08, "fat_percent": 59.13, "sugars_percent": 0.23},
    "almonds, slivered": {"water_percent": 4.41, "fat_percent": 49.93, "sugars_percent": 4.35},
    "peanut butter, smooth, salted": {
        "water_percent": 1.23,
        "fat_percent": 51.36,
        "sugars_percent": 10.49,
    },
    # The same, and the older sugars were too few to be the milk's lactose.
    "heavy cream": {"water_percent": 57.81, "fat_percent": 36.08, "sugars_percent": 2.92},
    "half and half": {"water_percent": 81.24, "fat_percent": 10.39, "sugars_percent": 4.13},
    # A syrup's sugars are now nearly all of its carbohydrate.
    "molasses": {"sugars_percent": 74.72},
    "corn syrup, light": {"sugars_percent": 76.77},
    "corn syrup, dark": {"sugars_percent": 77.59},
    "high-fructose corn syrup": {"sugars_percent": 75.65},
    "maple syrup": {"sugars_percent": 60.46},
    # The older release took all carbohydrate but fibre for sugars (49.29 - 20.8 = 28.49).
    "nutmeg, ground": {"sugars_percent": 2.99},
    # Glucose is taken out of the powder; the older release still counted it.
    "egg white, dried powder": {"sugars_percent": 0.0},
    "rice flour, brown": {"sugars_percent": 0.66},
}

ANOTHER_MEASURE = {
    ("spelt grain (proxy for spelt flour)", "grams_per_cup"): "a cup of whole grain, not of flour",
    ("almonds, ground (almond meal)", "grams_per_tbsp"): "a spoonful of whole nuts, not of meal",
    ("palm oil", "grams_per_tbsp"): "the spoon of an oil of 218 g a cup, where the cup is 216",
    ("turbinado sugar", "grams_per_tsp"): "a sample of its own: 48 such would be 221 g, not 202",
    ("corn syrup, light", "grams_per_tbsp"): "a sample of its own: 16 such would be 352 g, not 341",
    ("sour cream", "grams_per_tbsp"): "a sample of its own: 16 such would be 192 g, not 230",
    ("buttermilk powder", "grams_per_tbsp"): "a looser powder: 16 such would be 104 g, not 120",
    ("whey powder, sweet", "grams_per_tbsp"): "a looser powder: 16 such would be 120 g, not 145",
    ("vanilla extract", "grams_per_cup"): "a sample of its own: a 48th would be 4.33 g, not 4.2",
    (
        "pumpkin pie spice",
        "grams_per_tbsp",
    ): "a sample of its own: a third would be 1.87 g, not 1.7",
}
"""Published weights that no one density can meet together with the one the table is based on."""


class Published(NamedTuple):
    """One figure of the older release."""

    name: str
    column: str
    figure: float


def read_published(columns: tuple[str, ...]) -> Iterator[Published]:
    path = Path(__file__).parent / "data" / "usda_sr24.csv"
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            for column in columns:
                if row[column]:
                    yield Published(row["name"], column, float(row[column]))


def known(name: str) -> Ingredient:
    found = known_pantry().find(name)
    assert found is not None, f"{name} is not in the pantry"
    return found


def spoken(published: Published) -> str:
    return f"{published.name}: {published.column}"


@pytest.mark.parametrize("published", list(read_published(COMPOSITION)), ids=spoken)
def test_composition_is_the_published_one(published: Published) -> None:
    """Water, fat and sugars are those USDA prints, to the last of its two decimals."""
    revised = REVISED.get(published.name, {}).get(published.column)
    expected = published.figure if revised is None else revised
    assert getattr(known(published.name), published.column) == expected


def test_each_named_revision_is_one() -> None:
    """Every figure listed as revised stands otherwise in the older release."""
    older = {(name, column): figure for name, column, figure in read_published(COMPOSITION)}
    listed = [(name, column) for name in REVISED for column in REVISED[name]]
    assert [key for key in listed if older[key] == REVISED[key[0]][key[1]]] == []


@pytest.mark.parametrize("published", list(read_published(tuple(TEASPOONS))), ids=spoken)
def test_one_density_meets_the_published_weights(published: Published) -> None:
    """A cup, tablespoon or teaspoon weighs what USDA prints, as far as the printed digits reach."""
    agrees = off_by(published) <= rounding_of(published)
    assert agrees or (published.name, published.column) in ANOTHER_MEASURE


def test_each_named_misfit_is_one() -> None:
    """Every weight listed as another measure is truly beyond rounding."""
    weights = {(one.name, one.column): one for one in read_published(tuple(TEASPOONS))}
    listed = [weights[key] for key in ANOTHER_MEASURE]
    assert [one for one in listed if off_by(one) <= rounding_of(one)] == []


def off_by(published: Published) -> float:
    cup_grams = known(published.name).cup_grams
    assert cup_grams is not None
    return abs(float(cup_grams) * TEASPOONS[published.column] / 48 - published.figure)


def rounding_of(published: Published) -> float:
    """Return what rounding explains, in grams: half the last digit here and of the table's base."""
    one = known(published.name)
    base, spoons = one.grams_per_teaspoon, 1
    if base is None:
        base, spoons = one.grams_per_cup, 48
    assert base is not None
    slack = half_of_last_digit(base) * TEASPOONS[published.column] / spoons
    return half_of_last_digit(published.figure) + slack + 1e-9


def half_of_last_digit(grams: float) -> float:
    return 0.5 if grams == int(grams) else 0.05


@pytest.mark.parametrize("published", list(read_published(("grams_per_large_unit",))), ids=spoken)
def test_a_large_egg_weighs_what_is_published(published: Published) -> None:
    """The large egg, its yolk and its white weigh the 50, 17 and 33 g that USDA prints."""
    assert known(published.name).grams_per_unit == published.figure


@pytest.mark.parametrize("column", ["water_percent", "fat_percent"])
def test_an_egg_is_made_of_its_yolk_and_white(column: str) -> None:
    """Whole egg holds the water and fat its yolk and white bring, within a point in a hundred.

    The three were analysed apart, and a separated yolk carries a little white with it.
    """
    parts = 17 * getattr(known("egg yolk"), column) + 33 * getattr(known("egg white"), column)
    assert parts / 50 == pytest.approx(getattr(known("egg"), column), abs=1)
