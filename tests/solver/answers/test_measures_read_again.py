"""Measures as the re-check reads them: what a person can scoop, spoon, pour, weigh or crack.

What may be scooped is the contract's: cups of ¼ ⅓ ½ ⅔ ¾, up to three tablespoons or half a one, up
to two teaspoons with ¼ ½ ¾, an eighth alone, no term under a hundredth, in the writing that counts
least; metric spoons of 15, 5, 2.5 and 1.25 ml; jugs in 5 ml; a scale in grams, tenths below 20;
whole eggs and one yolk or white.
"""

from fractions import Fraction as F

import pytest

from solver.answers.recheck.words import (
    UnreadableMeasure,
    counted,
    faults_of,
    fillings_as_written,
    is_scoopable,
    read_measure,
)


@pytest.mark.parametrize(
    ("words", "terms"),
    [
        ("none", []),
        ("3 2/3 cups + 3 tbsp", [(F(11, 3), "cup"), (F(3), "tbsp")]),
        ("1 cup", [(F(1), "cup")]),
        ("1/2 cup", [(F(1, 2), "cup")]),
        ("2 x 15 ml + 1 x 1.25 ml", [(F(2), "15 ml"), (F(1), "1.25 ml")]),
        ("35 ml", [(F(35), "ml")]),
        ("12.5 g", [(F(25, 2), "g")]),
        ("2 eggs + 1 yolk", [(F(2), "egg"), (F(1), "yolk")]),
    ],
)
def test_words_are_read(words, terms):
    """Each term has its number and its unit, one of it by its name for one."""
    assert read_measure(words) == terms


@pytest.mark.parametrize(
    "words",
    [
        *("a cup", "cup", "1", "", "-1 cup", "1 2 cups", "1/0 cup", "3/2 cups", "2/2 cup", "½ cup"),
        *("2 x 7 ml", "2 15 ml", "1 x cup", "nan g"),
    ],
)
def test_words_that_are_no_measure_are_refused(words):
    """Two numbers, a fraction of one or more, a spoon that is not counted, no number."""
    with pytest.raises(UnreadableMeasure):
        read_measure(words)


MEASURES = [
    ("cups", "3 2/3 cups + 3 tbsp", "3 cup, 2 1/3 cup, 3 tbsp"),
    ("cups", "3/4 cup", "1 1/2 cup, 1 1/4 cup"),
    ("cups", "1/2 tbsp", "1 1/2 tbsp"),
    ("cups", "1 tbsp + 1 3/4 tsp", "1 tbsp, 1 tsp, 1 1/2 tsp, 1 1/4 tsp"),
    ("cups", "2 1/4 tsp", "2 tsp, 1 1/4 tsp"),
    ("cups", "1/8 tsp", "1 1/8 tsp"),
    ("cups", "none", ""),
    ("spoons_ml", "3 x 15 ml + 2 x 5 ml + 1 x 2.5 ml", "3 15 ml, 2 5 ml, 1 2.5 ml"),
    ("spoons_ml", "1 x 2.5 ml + 1 x 1.25 ml", "1 2.5 ml, 1 1.25 ml"),
    ("spoons_ml", "1 x 5 ml", "1 5 ml"),
    ("jug", "5 ml", ""),
    ("jug", "1005 ml", ""),
    ("scale", "19.9 g", ""),
    ("scale", "20 g", ""),
    ("whole_grams", "7 g", ""),
    ("pieces", "2 eggs + 1 white", "2 each, 1 white"),
    ("pieces", "1 yolk", "1 yolk"),
    ("pieces", "3 yolks", "3 yolk"),
]


def scoops(told: str) -> list[tuple[int, str]]:
    """Return the fillings that are written as in "2 1/3 cup, 3 tbsp"."""
    pairs = (each.split(" ", 1) for each in told.split(", ") if each)
    return [(int(count), unit) for count, unit in pairs]


@pytest.mark.parametrize(("kind", "words", "filled"), MEASURES)
def test_what_can_be_measured_has_no_fault(kind, words, filled):
    """Each with the fillings that make it up; with another filling, or none, it has one."""
    terms = read_measure(words)
    assert list(faults_of(kind, terms, scoops(filled))) == []
    for other in ([(9, "cup")], scoops(filled)[1:] if filled else [(1, "tsp")]):
        assert len(list(faults_of(kind, terms, other))) == 1


@pytest.mark.parametrize(
    ("kind", "words", "fault"),
    [
        ("cups", "1/5 cup", "no cup holds 1/5"),
        ("cups", "1/3 tsp", "no tsp holds 1/3"),
        ("cups", "1/4 tbsp", "no tbsp holds 1/4"),
        ("cups", "1 cup + 4 tbsp", "4 tbsp is not filled so"),
        ("cups", "1 1/2 tbsp", "3/2 tbsp is not filled so"),
        ("cups", "1 cup + 3 tsp", "3 tsp is not filled so"),
        ("cups", "1 tbsp + 1 cup", "in that order"),
        ("cups", "1 cup + 1 cup", "in that order"),
        ("cups", "10 g", "in that order"),
        ("cups", "1 1/8 tsp", "an eighth of a teaspoon stands alone"),
        ("cups", "1 tbsp + 1/8 tsp", "an eighth of a teaspoon stands alone"),
        ("cups", "3 cups + 1 tsp", "1 tsp is lost in the amount"),
        ("cups", "1/2 cup + 2 tbsp + 2 tbsp", "in that order"),
        ("cups", "2 tbsp + 3 tsp", "takes fewer fillings"),
        ("cups", "1/4 cup + 1/2 tbsp + 1 1/2 tsp", "takes fewer fillings"),
        ("spoons_ml", "1 x 5 ml + 1 x 15 ml", "largest first"),
        ("spoons_ml", "1 tsp", "largest first"),
        ("spoons_ml", "3 x 5 ml", "3 x 5 ml could be fewer"),
        ("spoons_ml", "2 x 2.5 ml", "2 x 2.5 ml could be fewer"),
        ("spoons_ml", "2 x 1.25 ml", "2 x 1.25 ml could be fewer"),
        ("spoons_ml", "1 1/2 x 15 ml", "could be fewer or whole"),
        ("jug", "7 ml", "every 5 ml"),
        ("jug", "10 g", "every 5 ml"),
        ("jug", "5 ml + 5 ml", "every 5 ml"),
        ("scale", "20.5 g", "does not show 20.5 g"),
        ("scale", "19.95 g", "does not show 19.95 g"),
        ("scale", "1 cup", "reads grams"),
        ("scale", "10 g + 5 g", "reads grams"),
        ("whole_grams", "7.5 g", "does not show 7.5 g"),
        ("pieces", "1/2 egg", "part of a piece"),
        ("pieces", "20 g", "no one weighs a piece"),
        ("pieces", "1 egg + 2 yolks", "one yolk or one white at most"),
        ("pieces", "1 egg + 1 yolk + 1 white", "one yolk or one white at most"),
        ("pieces", "1 yolk + 1 white", "one yolk or one white at most"),
        ("pieces", "1 egg + 1 egg", "one yolk or one white at most"),
    ],
)
def test_what_nobody_can_measure_so_is_named(kind, words, fault):
    """The fault is among those told."""
    told = list(faults_of(kind, read_measure(words), []))
    assert any(fault in one for one in told), told


@pytest.mark.parametrize(
    ("kind", "words", "count"),
    [
        ("cups", "3 2/3 cups + 3 tbsp", 3 + 2 + 3 + 5),
        ("cups", "1 cup + 1 tbsp + 1 3/4 tsp", 1 + 1 + 3 + 10),
        ("cups", "1/2 tbsp", 1),
        ("spoons_ml", "3 x 15 ml + 1 x 2.5 ml", 4),
        ("pieces", "2 eggs + 1 yolk", 3),
        ("jug", "50 ml", 0),
        ("scale", "12 g", 0),
        ("whole_grams", "12 g", 0),
        ("cups", "none", 0),
    ],
)
def test_fillings_are_counted(kind, words, count):
    """One for each, and in cups and spoons five for each further unit."""
    assert counted(kind, read_measure(words)) == count


def test_a_scoopable_volume_has_some_writing():
    """Of the eighths of a teaspoon up to a cup, those that the three terms come to."""
    spoons = {8 * n + part for n in range(3) for part in (0, 2, 4, 6)}
    tablespoons, cups = (0, 12, 24, 48, 72), (0, 96, 128, 192, 256, 288)
    made = {1} | {
        cup + tablespoon + spoon
        for cup in cups
        for tablespoon in tablespoons
        for spoon in spoons
        if all(100 * t >= cup + tablespoon + spoon for t in (cup, tablespoon, spoon) if t)
    }
    found = {eighths for eighths in range(1, 384) if is_scoopable(F(eighths, 8))}
    assert found == made - {0}
    lost = F(3 * 48) + 1  # three cups and a teaspoon: under a hundredth
    assert not is_scoopable(lost)
    assert is_scoopable(F(2 * 48) + 1)


@pytest.mark.parametrize(
    ("words", "filled"),
    [
        ("3 1/2 cups", "3 cup, 1 1/2 cup"),
        ("7 tbsp", "7 tbsp"),
        ("2 eggs", "2 each"),
        ("2 x 5 ml", "2 5 ml"),
        ("2/5 cup", ""),
        ("227 g", ""),
        ("1 1/2 eggs", ""),
        ("1 cup + 30 g", ""),
    ],
)
def test_what_stays_is_filled_as_it_is_written(words, filled):
    """With whole and usual fillings, none where a part of it is not scooped."""
    assert fillings_as_written(read_measure(words)) == scoops(filled)
