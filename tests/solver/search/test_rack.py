"""Which amounts can be measured."""

from fractions import Fraction
from itertools import product

import pytest

from models.measures import Amount
from models.pantry import known_pantry
from solver.search.rack import nearest, rack


def ingredient(name: str):
    found = known_pantry().find(name)
    assert found is not None
    return found


def measures(name: str, way: str, low: float, high: float) -> dict[str, int]:
    return {
        m.amount.measure: m.counts
        for m in rack(ingredient(name), way, Fraction(str(low)), Fraction(str(high)))
    }


def test_every_us_amount_within_a_cup_follows_the_rules_of_the_spoons():
    """A brute force over cups, tablespoons and teaspoons finds the same volumes."""
    eighths = {0}
    for cups in (0, 96, 128, 192, 256, 288, 384):
        for tablespoons in (0, 12, 24, 48, 72):
            for whole in (0, 8, 16):
                for part in (0, 1, 2, 4, 6):
                    terms = [t for t in (cups, tablespoons, whole + part) if t]
                    total = sum(terms)
                    alone = part != 1 or total == 1
                    if alone and all(100 * t >= total for t in terms) and total <= 384:
                        eighths.add(total)
    found = rack(ingredient("all-purpose flour"), "cups", Fraction(0), Fraction(125))
    assert [m.amount.grams * 384 / 125 for m in found] == sorted(eighths)


@pytest.mark.parametrize(
    ("measure", "fillings"),
    [
        ("3 2/3 cups + 3 tbsp", 8 + 5),
        ("3 3/4 cups + 1 tbsp", 6 + 5),
        ("3 1/2 cups + 2 3/4 tsp", 8 + 5),
    ],
)
def test_a_us_amount_counts_its_fillings(measure, fillings):
    """Two thirds of a cup is the third twice; each unit after the first counts five fillings."""
    assert measures("all-purpose flour", "cups", 400, 500)[measure] == fillings


def test_one_volume_is_written_in_the_way_that_counts_least():
    """2 1/2 tsp takes three spoons of one kind, half a tablespoon and a teaspoon two kinds."""
    found = measures("baking soda", "cups", 11.5, 11.5)
    assert found == {"2 1/2 tsp": 3}


def test_an_eighth_of_a_teaspoon_stands_alone():
    """1/8 tsp is an amount; 1 1/8 tsp is not."""
    found = measures("baking soda", "cups", 0, 10)
    assert "1/8 tsp" in found
    assert not [m for m in found if "1/8" in m and m != "1/8 tsp"]


def test_no_term_is_lost_in_a_large_amount():
    """Ten cups take no teaspoon: it would be under a hundredth of the amount."""
    found = measures("all-purpose flour", "cups", 1250, 1500)
    assert found
    assert not [m for m in found if "tsp" in m]


def test_eggs_come_in_wholes_and_one_yolk_or_white():
    """Around two eggs: 1 and a piece, 2, 2 and a yolk, 2 and a white, 3."""
    found = measures("egg", "pieces", 50, 150)
    assert list(found) == [
        "1 egg",
        "1 egg + 1 yolk",
        "1 egg + 1 white",
        "2 eggs",
        "2 eggs + 1 yolk",
        "2 eggs + 1 white",
        "3 eggs",
    ]
    assert found["2 eggs + 1 yolk"] == 3


def test_an_egg_and_a_yolk_weigh_what_their_parts_weigh():
    """50 g and 17 g, each with its own composition."""
    (both,) = rack(ingredient("egg"), "pieces", Fraction(67), Fraction(67))
    assert [(p.ingredient.name, p.grams) for p in both.amount.parts] == [
        ("egg", 50),
        ("egg yolk", 17),
    ]


def test_yolks_move_in_whole_pieces():
    """A line of yolks has nothing between one and two."""
    assert list(measures("egg yolk", "pieces", 0, 40)) == ["none", "1 yolk", "2 yolks"]


def test_metric_spoons_take_the_fewest_spoonfuls():
    """17.5 mL is one spoon of 15 and one of 2.5; soda through a cup of 236.588 mL."""
    soda = ingredient("baking soda")
    found = {m.amount.measure: m for m in rack(soda, "millilitres", Fraction(0), Fraction(20))}
    both = found["1 x 15 ml + 1 x 2.5 ml"]
    assert both.counts == 2
    assert float(both.amount.grams) == pytest.approx(17.5 * 4.6 * 48 / 236.588)


def test_metric_liquids_go_in_steps_of_five_millilitres():
    """Milk by the jug: no scoops."""
    found = rack(ingredient("whole milk"), "millilitres", Fraction(100), Fraction(115))
    assert [m.amount.measure for m in found] == ["100 ml", "105 ml", "110 ml"]
    assert [m.amount.scoops for m in found] == [()] * 3


def test_the_scale_reads_tenths_below_twenty_grams():
    """19.9 g, then 20 g, then 21 g."""
    found = list(measures("unsalted butter", "scale", 19.8, 21.5))
    assert found == ["19.8 g", "19.9 g", "20 g", "21 g"]


@pytest.mark.parametrize(
    ("low", "high", "step"), [(980_000, 999_000, 1), (20, 50_000, 5), (20, 999_000, 50)]
)
def test_many_amounts_go_in_coarser_steps(low, high, step):
    """No scale shows single grams of a hundredweight: at most twenty thousand to choose from.

    OIML R 76-1, table of classes: a scale of class III has at most 10,000 (from memory).
    """
    grams = rack(ingredient("unsalted butter"), "scale", Fraction(low), Fraction(high)).total_grams
    assert set(grams[1:] - grams[:-1]) == {step}


@pytest.mark.parametrize("way", ["cups", "millilitres", "scale", "whole_grams"])
@pytest.mark.parametrize("name", ["whole milk", "baking powder", "all-purpose flour"])
def test_no_rack_is_longer_than_can_be_searched(name, way):
    """A ton of anything has some twenty thousand amounts, however it is measured."""
    assert len(rack(ingredient(name), way, Fraction(0), Fraction(10**6))) <= 22_000


def test_hundreds_of_cups_are_one_term():
    """Three tablespoons are under a hundredth of 19 cups; a part of a cup is part of its term."""
    found = list(measures("all-purpose flour", "cups", 125 * 122, 125 * 123 - 1))
    parts = ("", " 1/4", " 1/3", " 1/2", " 2/3", " 3/4")
    assert found == [f"122{part} cups" for part in parts]
    assert list(measures("all-purpose flour", "cups", 125 * 19.4, 125 * 19.7)) == [
        "19 1/2 cups",
        "19 2/3 cups",
    ]


def test_the_nearest_amount_is_never_nothing():
    """A pinch of a tenth of its size is still the smallest spoon, not a lost line."""
    soda = ingredient("baking soda")
    assert nearest(soda, "cups", Fraction(1, 100)).amount.measure == "1/8 tsp"


def test_of_two_amounts_as_near_the_smaller_counts():
    """Halfway between 1/4 and 1/2 tsp is 1/4 tsp."""
    soda = ingredient("baking soda")
    between = Fraction(3, 8) * Fraction(46, 10)
    assert nearest(soda, "cups", between).amount.measure == "1/4 tsp"


def test_an_ingredient_without_a_cup_weight_goes_on_the_scale():
    """Gelatin has no cup: cups and spoons cannot measure it."""
    found = rack(ingredient("gelatin powder"), "cups", Fraction(7), Fraction("7.2"))
    assert [m.amount.measure for m in found] == ["7 g", "7.1 g", "7.2 g"]


@pytest.mark.parametrize(
    ("name", "way"),
    [
        *product(["all-purpose flour", "whole milk", "baking powder"], ["cups", "millilitres"]),
        ("egg", "pieces"),
    ],
)
def test_scoops_add_up_to_the_amount(way, name):
    """What is filled is what is weighed: scoops and words say the same."""
    sizes = {"cup": 384, "1/2 cup": 192, "1/3 cup": 128, "1/4 cup": 96, "tbsp": 24, "1/2 tbsp": 12}
    sizes |= {"tsp": 8, "1/2 tsp": 4, "1/4 tsp": 2, "1/8 tsp": 1}
    item = ingredient(name)
    for m in rack(item, way, Fraction(1), Fraction(300)):
        filled = [(s.quantity, sizes.get(s.unit)) for s in m.amount.scoops]
        if filled and all(size for _, size in filled):
            eighths = sum(quantity * size for quantity, size in filled)
            assert eighths * item.cup_grams / 384 == m.amount.grams
        units = {unit.split()[-1] for unit in (s.unit for s in m.amount.scoops)}
        further = 5 * (len(units) - 1) if way == "cups" else 0
        assert sum(quantity for quantity, _ in filled) + further == m.counts
        assert isinstance(m.amount, Amount)
