"""Figures of the contract, each where an answer shows it: a reach, a cap, a cost, a spoon.

Every expected value is the contract's own; each would be missed were the figure another.
"""

import math
from fractions import Fraction

import pytest

from models.cautions import cautions_for
from models.errors import RecheckFailed
from models.pantry import known_pantry
from solver.answers.recheck import recheck
from solver.reformulate import reformulate
from solver.search.costs import sheet_cost
from solver.search.options import ReadyBrief
from tests.conftest import brief_of


def options_of(brief, k: int):
    """The grams that a line may have, staying left out, as shares of its start."""
    asked = brief_of(brief)
    options = ReadyBrief(asked).options(asked.named_limits())[k]
    return options.grams[1:], float(options.line.grams)


@pytest.mark.parametrize(
    ("line", "least", "most"),
    [(1, 0.5, 1.5), (3, 0.5, 1.5), (5, 0.0, 1.5), (0, 0.85, 1.15), (2, 0.5, 1.5)],
)
def test_a_line_reaches_as_far_as_the_contract_says(lantern, line, least, most):
    """Half as much to half as much again; leavening from nothing; flour within its percentage.

    Weighed to the gram nothing within reach is left out, eggs come to the nearest piece.
    """
    grams, start = options_of({**lantern, "measures": "scale"}, line)
    step = 20 if line == 2 else 1
    assert least * start <= grams.min() <= least * start + step
    assert most * start - step <= grams.max() <= most * start


@pytest.mark.parametrize(
    ("name", "share"), [("whole milk", 0.30), ("honey", 0.30), ("baking powder", 0.05)]
)
def test_what_enters_is_capped_by_the_flour(lantern, name, share):
    """Three tenths of the flour, a twentieth of a leavener."""
    asked = {**lantern, "measures": "scale", "limits": {"may_add": [name]}}
    grams, start = options_of(asked, 8)
    assert start == 0
    assert share * 437.5 - 1 < grams.max() <= share * 437.5


@pytest.mark.parametrize("name", ["ground ginger", "vanilla extract", "salt", "baking soda"])
def test_a_metric_kitchen_spoons_what_is_strong(lantern, name):
    """Flavours, salt and leaveners come in spoons of 1.25 mL through a cup of 236.588 mL."""
    lantern["recipe"]["lines"].append({"ingredient": name, "quantity": 2, "unit": "tsp"})
    asked = {**lantern, "measures": "metric", "weights": {"flavour": 1, "salt": 1}}
    lines = brief_of(asked).formula.lines
    grams, _ = options_of(asked, len(lines) - 1)
    item = known_pantry().find(name)
    spoon = 48 * item.grams_per_teaspoon / 236.588 * 1.25
    spoons = [g / spoon for g in grams]
    assert len(spoons) > 3
    assert spoons == pytest.approx([round(s) for s in spoons], abs=1e-9)


@pytest.mark.parametrize(
    ("planned", "rolled", "chilled", "cost"),
    [
        (4, 4, True, "0.02"),
        (4, 3, False, "0.045"),
        (4, 3, True, "0.065"),
        (5, 2, False, "0.28"),
        (4, 4, False, "0"),
    ],
)
def test_a_sheet_costs_what_the_contract_says(planned, rolled, chilled, cost):
    """0.02 + 0.1 (1 − t / t planned) + 0.2 a millimetre below 3; chilling 0.02."""
    found = sheet_cost(Fraction(planned), Fraction(rolled), newly_chilled=chilled)
    assert found == Fraction(cost)


def test_a_sheet_that_is_chilled_is_paid_for(lantern):
    """A dough that holds once it is chilled costs two hundredths, and no less passes."""
    target = {
        "form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
        "thickness_mm": 4,
        "may_chill": True,
    }
    asked = brief_of({"recipe": lantern["recipe"], "target": target})
    answered = reformulate(asked)
    assert answered.target.after.chilled
    thin = 1 - answered.target.after.thickness_mm / 4
    below = max(0.0, 3 - answered.target.after.thickness_mm)
    rolled = 0.02 + 0.1 * thin + 0.2 * below if thin else 0.0
    assert answered.cost.sheet == pytest.approx(0.02 + rolled)
    for sheet in (0.02 + rolled - 0.01, rolled):
        cost = answered.cost
        total = cost.total - cost.sheet + sheet
        cost = cost.model_copy(update={"sheet": sheet, "total": total})
        proof = answered.proof.model_copy(update={"bound": total})
        with pytest.raises(RecheckFailed, match="sheet"):
            recheck(asked, answered.model_copy(update={"cost": cost, "proof": proof}))
    warm = answered.target.after.model_copy(update={"chilled": False})
    spoilt = answered.target.model_copy(update={"after": warm})
    with pytest.raises(RecheckFailed):
        recheck(asked, answered.model_copy(update={"target": spoilt}))


@pytest.mark.parametrize(("share", "held"), [(0.149, True), (0.151, False)])
def test_a_dough_on_a_form_still_rolls(lantern, share, held):
    """Its liquid to the flour within 15 %: common practice, no source."""
    target = {"form": {"kind": "flat_round", "diameter_mm": 60}, "thickness_mm": 4}
    asked = brief_of({"recipe": lantern["recipe"], "target": target})
    now = asked.formula.ratios.liquid_per_flour
    window = asked.applied_window.liquid_per_flour
    for value in (now * (1 - share), now * (1 + share)):
        assert (window.min <= value <= window.max) is held


@pytest.mark.parametrize(("grams", "much"), [(1.83, False), (1.85, True)])
def test_much_soda_begins_at_half_a_teaspoon_to_a_cup(grams, much):
    """2.3 g of soda to 125 g of flour is 1.84 %: common practice, no source."""
    lines = [
        {"ingredient": "all-purpose flour", "quantity": 100, "unit": "g"},
        {"ingredient": "baking soda", "quantity": grams, "unit": "g"},
    ]
    formula = brief_of({"recipe": {"lines": lines}, "window": {}}).formula
    assert ("much_soda" in {caution.code for caution in cautions_for(formula)}) is much


@pytest.mark.parametrize("name", ["honey", "molasses", "maple syrup"])
def test_a_syrup_costs_four_fifths(name):
    """A syrup that moves alone costs 0.8 of its share, 0.05, and 0.004 a filling."""
    lines = [("all-purpose flour", 300), ("unsalted butter", 150), (name, 100)]
    asked = {
        "recipe": {"lines": [{"ingredient": i, "quantity": g, "unit": "g"} for i, g in lines]},
        "window": {"liquid_per_flour": {"max": 0.3}},
        "limits": {"max_flour_change_percent": 0, "keep": ["butter"]},
    }
    outcome = reformulate(brief_of(asked))
    assert outcome.lines[2].after.grams == 90
    assert math.isclose(outcome.cost.total, 0.8 * 0.1 + 0.05)


def test_an_answer_too_wet_to_roll_is_refused(lantern):
    """A fifth more liquid to the flour, which one caller asked for, does not pass for another."""
    form = {"kind": "flat_round", "diameter_mm": 60}
    plain = {"recipe": lantern["recipe"], "target": {"form": form, "thickness_mm": 4}}
    now = brief_of(plain).formula.ratios.liquid_per_flour
    answered = reformulate(brief_of({**plain, "window": {"liquid_per_flour": {"min": 1.2 * now}}}))
    assert answered.outcome == "reformulated"
    with pytest.raises(RecheckFailed, match="liquid_per_flour moved by more than a dough that"):
        recheck(brief_of(plain), answered)


@pytest.mark.parametrize("measures", ["us", "metric", "scale", "as_written"])
def test_the_search_prices_an_option_as_it_is_shown(lantern, measures):
    """What the search sums as floats is what is shown exactly, option by option, added lines and
    lines left out among them; and the parts of a shown cost come to its total."""
    lantern |= {"measures": measures, "weights": {"flavour": 0.7, "salt": 2}}
    lantern["limits"] |= {"may_add": ["whole milk", "baking powder"]}
    asked = brief_of(lantern)
    for each in ReadyBrief(asked).options(asked.named_limits()):
        exact = [float(each.cost_of(pick)) for pick in range(len(each))]
        assert each.cost == pytest.approx(exact, abs=1e-12)
    cost = reformulate(asked).cost
    parts = cost.change + cost.moved_lines + cost.scoops + cost.left_out + cost.sheet
    assert cost.total == pytest.approx(parts, abs=1e-12)
