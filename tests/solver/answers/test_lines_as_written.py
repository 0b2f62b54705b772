"""Lines written in every way, in batches and measures of every kind: read back as they were meant.

How a line is measured is the contract's: as it is written, an egg by the piece, a weight with a
volume beside it by cups of its own.
"""

import json
from fractions import Fraction
from functools import cache

import pytest

from models.errors import RecheckFailed
from solver.answers.recheck import recheck
from solver.reformulate import reformulate
from tests.conftest import brief_of
from tests.solver.answers.tampering import after, faults, moved

FLOUR, BUTTER, SUGAR, MILK, HONEY, WATER, EGG, SODA, SPICES, VANILLA = range(10)
ML = Fraction("236.588")
"""Millilitres in a cup: NIST."""
LINES = [
    "3 cups (390 g) all-purpose flour",
    "8 oz unsalted butter",
    "1 cup (230 g) granulated sugar",
    "100 ml whole milk",
    "2 fl oz honey",
    "4 tbsp (50 g) water",
    "2 eggs",
    "2 tsp baking soda",
    "1/2 tsp each ground cinnamon and ground nutmeg",
    "5 ml vanilla extract",
]
DRIER = {"flour_to_fat": {"min": 2.2}, "sugar_percent": {"max": 40}}
WETTER = {"soda_equivalent_percent": {"max": 1.2}, "egg_percent": {"min": 30}}
WETTER |= {"liquid_per_flour": {"max": 0.6}}
BATCHES = [None, {"factor": 2.3}, {"flour_grams": 600}, {"factor": 0.1}]


@cache
def asked_and_answered(measures: str, batch: str, window: str):
    written = [{"text": text} for text in LINES]
    brief = {"recipe": {"lines": written}, "window": json.loads(window), "measures": measures}
    brief["limits"] = {"max_flour_change_percent": 30}
    if batch != "null":
        brief["batch"] = json.loads(batch)
    asked = brief_of(brief)
    return asked, reformulate(asked)


def answer(measures="as_written", batch=None, window=DRIER):
    """Return a brief and its answer; once, however many tests ask it."""
    return asked_and_answered(measures, json.dumps(batch), json.dumps(window))


@pytest.mark.parametrize("window", [DRIER, WETTER])
@pytest.mark.parametrize("batch", BATCHES)
@pytest.mark.parametrize("measures", ["as_written", "us", "metric", "scale"])
def test_an_honest_answer_has_no_fault(measures, batch, window):
    """However the lines are written, measured and scaled."""
    asked, honest = answer(measures, batch, window)
    assert faults(asked, honest) == []


CUPS = {"cup": 1, "1/2 cup": Fraction(1, 2), "1/3 cup": Fraction(1, 3), "1/4 cup": Fraction(1, 4)}
CUPS |= {"tbsp": Fraction(1, 16), "1/2 tbsp": Fraction(1, 32), "tsp": Fraction(1, 48)}
CUPS |= {"1/2 tsp": Fraction(1, 96), "1/4 tsp": Fraction(1, 192)}


def test_a_cup_weighs_what_the_line_says():
    """230 g of sugar to a cup, 390 g of flour to three, whatever the table says."""
    _, honest = answer()
    for k, grams in ((FLOUR, 130), (SUGAR, 230)):
        shown = honest.lines[k].after
        assert honest.lines[k].moved
        cups = sum(scoop.quantity * CUPS[scoop.unit] for scoop in shown.scoops)
        assert shown.grams == pytest.approx(float(cups * grams), rel=1e-12)
    asked, _ = answer()
    by_the_table = moved(SUGAR, "1/2 cup", 100.0, (1, "1/2 cup"))(honest)
    assert any("1/2 cup is not 100.0 g" in one for one in faults(asked, by_the_table))
    by_the_line = moved(SUGAR, "1/2 cup", 115.0, (1, "1/2 cup"))(honest)
    assert not any("is not 115.0 g" in one for one in faults(asked, by_the_line))


@pytest.mark.parametrize(
    ("written", "measure", "grams", "filled"),
    [
        ("200 ml (210 g) whole milk", "150 ml", 157.5, []),
        ("1 l (1010 g) whole milk", "600 ml", 606.0, []),
        ("4 fl oz (128 g) whole milk", "1/4 cup", 64.0, [(1, "1/4 cup")]),
        ("8 tbsp (128 g) whole milk", "1/3 cup", 256 / 3, [(1, "1/3 cup")]),
        ("24 tsp (128 g) whole milk", "1/4 cup", 64.0, [(1, "1/4 cup")]),
    ],
)
def test_a_weight_beside_any_volume_is_the_lines_own(written, measure, grams, filled):
    """A litre is 1000 ml, a cup 8 fl oz, 16 tbsp and 48 tsp."""
    lines = [
        {"text": text} for text in ("500 g all-purpose flour", "200 g unsalted butter", written)
    ]
    asked = brief_of({"recipe": {"lines": lines}, "window": {}})
    tampered = moved(2, measure, grams, *filled)(reformulate(asked))
    assert not [one for one in faults(asked, tampered) if measure in one]
    heavier = moved(2, measure, 1.001 * grams, *filled)(reformulate(asked))
    assert any(f"{measure} is not" in one for one in faults(asked, heavier))


@pytest.mark.parametrize(
    ("measures", "k", "measure", "grams", "filled", "fits"),
    [
        ("as_written", MILK, "75 ml", float(75 / ML * 244), [], True),
        ("as_written", MILK, "3 tbsp", 45.75, [(3, "tbsp")], False),
        ("as_written", BUTTER, "200 g", 200.0, [], True),
        ("as_written", BUTTER, "3/4 cup", 170.25, [(1, "1/2 cup"), (1, "1/4 cup")], False),
        ("as_written", FLOUR, "400 g", 400.0, [], False),
        ("as_written", HONEY, "3 tbsp", 63.5625, [(3, "tbsp")], True),
        ("as_written", HONEY, "60 g", 60.0, [], False),
        ("us", BUTTER, "3/4 cup", 170.25, [(1, "1/2 cup"), (1, "1/4 cup")], True),
        ("us", BUTTER, "200 g", 200.0, [], False),
        ("metric", SODA, "1 x 5 ml", float(5 / ML * Fraction("220.8")), [(1, "5 ml")], True),
        ("metric", SODA, "5 g", 5.0, [], False),
        ("metric", HONEY, "60 g", 60.0, [], True),
        ("metric", HONEY, "50.5 g", 50.5, [], False),
        ("scale", MILK, "90 g", 90.0, [], True),
        ("scale", MILK, "90 ml", float(90 / ML * 244), [], False),
        ("scale", SODA, "5.3 g", 5.3, [], True),
        ("scale", EGG, "1 egg", 50.0, [(1, "each")], True),
        ("scale", EGG, "60 g", 60.0, [], False),
    ],
)
def test_a_line_is_measured_its_own_way(measures, k, measure, grams, filled, fits):
    """In the measure that was asked for, or the one that it is written in; no other is taken."""
    asked, honest = answer(measures)
    tampered = moved(k, measure, grams, *filled)(honest)
    told = [one for one in faults(asked, tampered) if one.startswith(honest.lines[k].ingredient)]
    of_measure = [one for one in told if measure in one]
    assert (of_measure == []) == fits, told


@pytest.mark.parametrize(
    ("measures", "k", "measure", "grams"),
    [
        ("scale", BUTTER, "521 g", 521.0),
        ("scale", BUTTER, "523 g", 523.0),
        ("metric", VANILLA, "1 x 15 ml", None),
        ("metric", VANILLA, "2 x 5 ml", None),
        ("metric", MILK, "235 ml", None),
        ("metric", MILK, "225 ml", None),
        ("metric", HONEY, "197 g", 197.0),
        ("us", VANILLA, "2 tsp", None),
        ("us", VANILLA, "2 1/2 tsp", None),
        ("as_written", EGG, "5 eggs", 250.0),
        ("as_written", EGG, "4 eggs + 1 yolk", None),
    ],
)
def test_what_stays_in_a_batch_is_the_nearest_measure(measures, k, measure, grams):
    """2.3 times each line; one measure more, or one less, is farther off than another."""
    asked, honest = answer(measures, {"factor": 2.3})
    line = honest.lines[k]
    assert not line.moved
    assert line.after.measure != measure
    off = line.before.grams * 1.1 if grams is None else grams  # the words alone decide
    told = faults(asked, after(k, measure=measure, grams=off)(honest))
    assert any(f"{line.ingredient}: " in one and "is nearer" in one for one in told), told


def test_a_little_egg_is_beaten_and_weighed():
    """A tenth of two eggs is 10 g of it, which no count of pieces comes near."""
    asked, honest = answer(batch={"factor": 0.1})
    assert honest.lines[EGG].after.measure == "10 g"
    other = after(EGG, measure="11 g", grams=11.0)(honest)
    told = faults(asked, other)
    assert any("g is nearer" in one for one in told), told


def test_a_line_of_several_foods_stays_as_it_is():
    """Half a teaspoon of each of two spices has one measure only: its own."""
    asked, honest = answer()
    told = faults(asked, after(SPICES, measure="1 tsp")(honest))
    assert any("does not move, and reads 1 tsp" in one for one in told)


@pytest.mark.parametrize(
    ("k", "measure"), [(BUTTER, "1 yolk"), (MILK, "2 pieces"), (EGG, "1 stick")]
)
def test_a_unit_that_it_does_not_come_in_is_refused(k, measure):
    """No butter comes in yolks."""
    asked, honest = answer()
    with pytest.raises(RecheckFailed, match="does not come in"):
        recheck(asked, moved(k, measure, 20.0)(honest))
