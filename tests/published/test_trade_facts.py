"""Facts of the trade and published formulas, held against the arithmetic and the solver."""

import pytest

from models.brief import RecipeToWeigh
from solver.reformulate import reformulate
from tests.conftest import brief_of


def weigh(*lines, custom=()):
    """Return the formula of lines of (ingredient, quantity, unit)."""
    recipe = {
        "lines": [{"ingredient": i, "quantity": q, "unit": u} for i, q, u in lines],
        "custom_ingredients": list(custom),
    }
    return RecipeToWeigh.model_validate({"recipe": recipe}, strict=False).formula


def bakers_percent(formula, name: str) -> float:
    (line,) = [line for line in formula.lines if line.name == name]
    return float(100 * line.grams / formula.flour_grams)


def test_powder_to_soda():
    """1 1/2 tsp powder to 2 cups of flour raises like just under 1 tsp soda to 5 cups (0.94).

    Common practice, no source: soda is about four times as strong as double-acting powder.
    """
    powder = weigh(("all-purpose flour", 2, "cup"), ("baking powder", 1.5, "tsp"))
    soda = weigh(("all-purpose flour", 5, "cup"), ("baking soda", 0.94, "tsp"))
    one = weigh(("all-purpose flour", 5, "cup"), ("baking soda", 1, "tsp"))
    level = powder.ratios.soda_equivalent_percent
    assert soda.ratios.soda_equivalent_percent == pytest.approx(level, rel=0.005)
    assert one.ratios.soda_equivalent_percent > level


def test_fat_is_swapped_by_weight():
    """By weight shortening for butter keeps flour to fat; cup for cup it climbs.

    Common practice, no source: fat is swapped by weight, not volume.
    """
    flour = ("all-purpose flour", 3.5, "cup")
    butter = weigh(flour, ("unsalted butter", 1, "cup"))
    by_weight = weigh(flour, ("vegetable shortening", 227, "g"))
    by_volume = weigh(flour, ("vegetable shortening", 1, "cup"))
    assert by_weight.ratios.flour_to_fat == butter.ratios.flour_to_fat
    assert by_volume.ratios.flour_to_fat > 1.1 * butter.ratios.flour_to_fat


@pytest.mark.parametrize("ratio", [1.75, 1.8])
def test_a_fifth_more_flour(ratio):
    """20 % more flour takes flour to fat from 1.75-1.8 to 2.1-2.2. Common practice, no source."""
    fat = 200.0
    more = weigh(("flour", 1.2 * ratio * fat, "g"), ("butter", fat, "g"))
    assert 2.1 - 1e-9 <= more.ratios.flour_to_fat <= 2.2


def low_liquid_dough(**limits):
    """A rolled dough with one egg for its only liquid, brought to the 3.4 of a syrup-rich one."""
    lines = [
        ("all-purpose flour", 2.5, "cup"),
        ("unsalted butter", 170, "g"),
        ("granulated sugar", 0.75, "cup"),
        ("egg", 1, "each"),
        ("baking powder", 1, "tsp"),
        ("salt", 0.25, "tsp"),
    ]
    return brief_of(
        {
            "recipe": {"lines": [{"ingredient": i, "quantity": q, "unit": u} for i, q, u in lines]},
            "window": {"flour_to_fat": {"min": 3.4}},
            "limits": {"keep": ["unsalted butter"], "max_flour_change_percent": 100, **limits},
        }
    )


def test_a_copied_ratio_crumbles():
    """At the flour to fat of a syrup-rich dough a low-liquid one keeps little more than half its
    liquid to the flour; held to what it had, the brief is refused and the liquid named.

    Common practice, no source.
    """
    copied = reformulate(low_liquid_dough())
    assert copied.outcome == "reformulated"
    had, left = copied.ratios.before.liquid_per_flour, copied.ratios.after.liquid_per_flour
    assert left < 0.6 * had
    held = reformulate(low_liquid_dough(liquid_per_flour={"min": round(had, 3)}))
    assert held.outcome == "infeasible"
    assert "limits.liquid_per_flour.min" in {c.limit for c in held.conflicts}
    assert "flour_to_fat.min" in {c.limit for c in held.conflicts}


def test_aacc_10_50d():
    """AACC method 10-50D (baking quality of cookie flour, macro): flour 225 g, shortening 64.0,
    sugar 130.0, salt 2.1, soda 2.5 g; in baker's percent fat 28.4, sugar 57.8, salt 0.93,
    soda 1.11, flour to fat 3.52.
    """
    formula = weigh(
        ("all-purpose flour", 225, "g"),
        ("vegetable shortening", 64, "g"),
        ("granulated sugar", 130, "g"),
        ("salt", 2.1, "g"),
        ("baking soda", 2.5, "g"),
        ("dextrose solution", 33, "g"),
        ("water", 16, "g"),
        custom=[
            # 8.9 g of dextrose in 150 mL of water, as the method makes it up.
            {
                "name": "dextrose solution",
                "role": "liquid",
                "water_percent": 94.4,
                "sugars_percent": 5.6,
            }
        ],
    )
    assert bakers_percent(formula, "vegetable shortening") == pytest.approx(28.4, abs=0.05)
    assert bakers_percent(formula, "granulated sugar") == pytest.approx(57.8, abs=0.05)
    assert bakers_percent(formula, "salt") == pytest.approx(0.93, abs=0.005)
    assert formula.ratios.soda_equivalent_percent == pytest.approx(1.11, abs=0.005)
    assert formula.ratios.flour_to_fat == pytest.approx(3.52, abs=0.005)
    assert formula.ratios.liquid_per_flour == pytest.approx(49 / 225)


def test_aacc_10_52():
    """AACC method 10-52 (micro): flour 40 g, sugar 24, shortening 12, non-fat dry milk 1.2, soda
    0.4 and 0.32 in solution, salt 0.18 g; flour to fat 3.33, soda 1.8 % of the flour.
    """
    formula = weigh(
        ("all-purpose flour", 40, "g"),
        ("granulated sugar", 24, "g"),
        ("vegetable shortening", 12, "g"),
        ("nonfat dry milk", 1.2, "g"),
        ("baking soda", 0.72, "g"),
        ("salt", 0.18, "g"),
    )
    assert formula.ratios.flour_to_fat == pytest.approx(3.33, abs=0.005)
    assert formula.ratios.soda_equivalent_percent == pytest.approx(1.8)
    assert bakers_percent(formula, "granulated sugar") == pytest.approx(60)
