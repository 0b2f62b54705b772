"""GET /v1/measures: the table is true of the amounts that answers use."""

from fractions import Fraction

import pytest

from models.measures import Scoop
from models.pantry import known_pantry
from solver.search.rack import rack


@pytest.fixture(scope="module")
def table(client):
    return client.get("/v1/measures").json()


def system(table, name):
    return next(one for one in table["systems"] if one["system"] == name)


def test_units_have_their_sizes(table):
    """A US cup is 236.588 mL and 16 tablespoons (NIST); an ounce is 28.349523125 g, exactly."""
    volumes = {unit["unit"]: unit for unit in table["volume"]}
    weights = {unit["unit"]: unit["grams"] for unit in table["weight"]}
    assert volumes["cup"]["millilitres"] == 236.588
    assert volumes["tbsp"]["cups"] == 1 / 16
    assert volumes["tsp"]["cups"] == 1 / 48
    assert weights["oz"] == 28.349523125


def test_every_system_is_there(table):
    """US cups, millilitre spoons, and the scale."""
    assert [one["system"] for one in table["systems"]] == ["as_written", "us", "metric", "scale"]
    assert all(one["rules"] and one["example"] for one in table["systems"])


def test_every_filling_of_an_answer_stands_in_the_table(table):
    """Each scoop of every measurable amount of flour up to 4 cups is a part, or a whole, of it."""
    flour = known_pantry().find("all-purpose flour")
    parts = {scoop["unit"] for part in system(table, "us")["parts"] for scoop in part["scoops"]}
    scooped: set[str] = set()
    for measurable in rack(flour, "cups", Fraction(0), Fraction(500)):
        scooped |= {scoop.unit for scoop in measurable.amount.scoops}
    assert scooped == parts | {"cup", "tbsp", "tsp"}


def test_two_thirds_and_three_quarters_are_two_fillings(table):
    """Two thirds of a cup is the third twice, three quarters a half and a quarter."""
    parts = {part["measure"]: part["scoops"] for part in system(table, "us")["parts"]}
    assert parts["2/3 cup"] == [Scoop(quantity=2, unit="1/3 cup").model_dump()]
    assert [scoop["unit"] for scoop in parts["3/4 cup"]] == ["1/2 cup", "1/4 cup"]


def test_metric_spoons_are_four(table):
    """15, 5, 2.5 and 1.25 millilitres."""
    measures = [part["scoops"][0]["unit"] for part in system(table, "metric")["parts"]]
    assert measures == ["15 ml", "5 ml", "2.5 ml", "1.25 ml"]
