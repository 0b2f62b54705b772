"""The front door: the least measurable change, its reasons, and an honest no."""

import copy
from fractions import Fraction

import pytest

from models.formula import Formula
from models.recipe import MeasuredLine, Recipe
from solver.reformulate import reformulate
from tests.conftest import brief_of


def after(outcome) -> dict[str, str]:
    return {line.ingredient: line.after.measure for line in outcome.lines}


def changed(lantern, **members):
    brief = copy.deepcopy(lantern)
    for name, value in members.items():
        brief[name] = {**brief.get(name, {}), **value} if isinstance(value, dict) else value
    return brief


def test_the_lantern_dough_comes_out_as_worked_by_hand(lantern):
    """Flour to 3 2/3 cups + 3 tbsp, soda to 1 tsp, all else as written, for 0.390524."""
    outcome = reformulate(brief_of(lantern))
    assert outcome.outcome == "reformulated"
    assert outcome.cost.total == pytest.approx(0.390524, abs=1e-6)
    assert outcome.cost.change == pytest.approx(0.234524, abs=1e-6)
    assert outcome.cost.moved_lines == pytest.approx(0.1)
    assert outcome.cost.scoops == pytest.approx(0.056)
    assert outcome.proof.status == "optimal"
    assert outcome.proof.bound == pytest.approx(0.390524, abs=1e-6)
    assert outcome.ratios.before.flour_to_fat == pytest.approx(1.9273127753303965)
    assert outcome.ratios.after.flour_to_fat == pytest.approx(2.1223384728340677)
    flour, *_, soda, ginger, salt = outcome.lines
    assert flour.after.measure == "3 2/3 cups + 3 tbsp"
    assert flour.after.grams == pytest.approx(481.7708333333333)
    assert flour.change_percent == pytest.approx(10.119047619047619)
    assert [(s.quantity, s.unit) for s in flour.after.scoops] == [
        (3, "cup"),
        (2, "1/3 cup"),
        (3, "tbsp"),
    ]
    assert soda.after.measure == "1 tsp"
    assert [line.moved for line in outcome.lines] == [True, *[False] * 4, True, False, False]
    assert ginger.after.measure == "1 tbsp"
    assert salt.after.grams == 3


def test_a_moved_line_says_which_bound_asked_for_it(lantern):
    """The flour moved for flour to fat, the soda for the leavening."""
    flour, *_, soda, _, _ = reformulate(brief_of(lantern)).lines
    assert "flour to fat of at least 2.1" in flour.reason
    assert "at 3 1/2 cups it would be 1.927" in flour.reason
    assert "leavening as soda of at most 1 %" in soda.reason


def test_binding_limits_are_those_whose_removal_is_cheaper(lantern):
    """Each named limit, removed, lowers the least cost; each other one does not."""
    whole = reformulate(brief_of(lantern))
    binding = {b.limit for b in whole.binding}
    assert binding == {"flour_to_fat.min", "soda_equivalent_percent.max"}
    for ratio, sides in lantern["window"].items():
        for side in sides:
            window = copy.deepcopy(lantern["window"])
            del window[ratio][side]
            without = reformulate(brief_of({**lantern, "window": window}))
            cheaper = without.cost.total < whole.cost.total - 1e-9
            assert cheaper == (f"{ratio}.{side}" in binding)


def test_a_small_slack_saves_what_it_says(lantern):
    """Sending the eased limit back costs that much less."""
    whole = reformulate(brief_of(lantern))
    (eased,) = [b for b in whole.binding if b.eased_to is not None]
    assert eased.limit == "flour_to_fat.min"
    window = {**lantern["window"], "flour_to_fat": {"min": eased.eased_to, "max": 2.4}}
    easier = reformulate(brief_of({**lantern, "window": window}))
    assert whole.cost.total - easier.cost.total == pytest.approx(eased.saves)


def test_a_dough_already_inside_stays_as_written(lantern):
    """Nothing moves, nothing costs, and every amount reads as it was written."""
    outcome = reformulate(brief_of({**lantern, "window": {"flour_to_fat": {"min": 1.9}}}))
    assert outcome.outcome == "unchanged"
    assert outcome.cost.total == 0
    assert outcome.binding == ()
    assert after(outcome)["unsalted butter"] == "227 g"
    assert after(outcome)["all-purpose flour"] == "3 1/2 cups"


def test_kept_lines_and_flavours_never_move(lantern):
    """Whatever the window asks, the molasses, ginger and salt stay."""
    lantern["limits"]["max_flour_change_percent"] = 60
    outcome = reformulate(brief_of({**lantern, "window": {"flour_to_fat": {"min": 3.0}}}))
    kept = [line for line in outcome.lines if line.ingredient in {"molasses", "ground ginger"}]
    assert outcome.outcome == "reformulated"
    assert not any(line.moved for line in kept)


def test_a_role_named_in_weights_may_move(lantern):
    """Salt moves only when the caller gives it a weight."""
    lines = [
        {"ingredient": "flour", "quantity": 400, "unit": "g"},
        {"ingredient": "salt", "quantity": 2, "unit": "tsp"},
        {"ingredient": "cocoa powder", "quantity": 100, "unit": "g"},
        {"ingredient": "butter", "quantity": 200, "unit": "g"},
        {"ingredient": "honey", "quantity": 1, "unit": "cup"},
    ]
    brief = {
        "recipe": {"lines": lines},
        "window": {"sugar_percent": {"max": 70.2}},
        "limits": {"keep": ["honey", "flour", "butter"]},
    }
    assert reformulate(brief_of(brief)).outcome == "infeasible"
    moved = reformulate(brief_of({**brief, "weights": {"cocoa": 1}}))
    assert moved.outcome == "reformulated"
    assert [line.ingredient for line in moved.lines if line.moved] == ["cocoa powder"]


def test_max_change_percent_holds_a_line_within_its_own_limit(lantern):
    """The flour may move by 20 %, but by 10 % where its own limit says so."""
    window = {"flour_to_fat": {"min": 2.25}}
    limits = {"keep": ["unsalted butter"], "max_flour_change_percent": 20}
    free = reformulate(brief_of({**lantern, "window": window, "limits": limits}))
    assert free.lines[0].change_percent > 10
    limits["max_change_percent"] = {"plain flour": 10}
    held = reformulate(brief_of({**lantern, "window": window, "limits": limits}))
    assert held.outcome == "infeasible"
    assert "max_change_percent.plain flour" in {c.limit for c in held.conflicts}


def test_an_added_line_enters_from_zero_and_comes_last(lantern):
    """Milk may enter where moisture is short; its change has no percentage."""
    brief = {
        **lantern,
        "window": {"moisture_percent": {"min": 40}},
        "limits": {"keep": ["egg", "molasses", "unsalted butter"], "may_add": ["whole milk"]},
    }
    outcome = reformulate(brief_of(brief))
    milk = outcome.lines[-1]
    assert (milk.ingredient, milk.moved, milk.change_percent) == ("whole milk", True, None)
    assert milk.before.grams == 0
    assert milk.before.measure == "none"
    assert milk.after.grams <= 0.30 * 437.5
    assert outcome.ratios.after.moisture_percent >= 40
    assert "Added" in milk.reason
    assert any(c.code == "new_allergen" for c in outcome.cautions) is False  # butter had the milk


def test_an_ingredient_that_need_not_enter_is_not_listed(lantern):
    """An allowed addition that helps nothing leaves no line behind."""
    lantern["limits"]["may_add"] = ["whole milk"]
    outcome = reformulate(brief_of(lantern))
    assert len(outcome.lines) == 8


def test_a_leavener_may_go_to_nothing(lantern):
    """No leavening at all is a measure: none."""
    window = {"soda_equivalent_percent": {"max": 0}}
    outcome = reformulate(brief_of({**lantern, "window": window}))
    soda = outcome.lines[5]
    assert (soda.after.grams, soda.after.measure, soda.after.scoops) == (0, "none", ())
    assert soda.change_percent == -100


def test_a_batch_is_measurable_and_within_bounds(lantern):
    """At 2.3 times the size every line is measured, and the window holds as measured."""
    outcome = reformulate(brief_of({**lantern, "batch": {"factor": 2.3}}))
    assert outcome.batch_factor == 2.3
    assert outcome.lines[2].before.grams == 115
    assert after(outcome)["egg"] == "2 eggs + 1 yolk"
    assert outcome.lines[2].moved is False
    assert outcome.ratios.after.flour_to_fat >= 2.1
    assert outcome.ratios.after.soda_equivalent_percent <= 1.0


@pytest.mark.parametrize(
    ("batch", "factor"),
    [({"flour_grams": 875}, 2.0), ({"dough_grams": 1e4}, None), ({"factor": 0.5}, 0.5)],
)
def test_a_batch_is_given_by_factor_dough_or_flour(lantern, batch, factor):
    """The whole dough or its flour sets the factor."""
    outcome = reformulate(brief_of({**lantern, "batch": batch}))
    total = sum(line.before.grams for line in outcome.lines)
    if factor is None:
        assert total == pytest.approx(10_000)
    else:
        assert outcome.batch_factor == factor


def test_a_dough_without_fat_cannot_meet_a_bound_on_flour_to_fat(lantern):
    """The ratio is null, no bound on it holds, and no value of it would do."""
    lantern["recipe"]["lines"].pop(1)
    outcome = reformulate(brief_of({**lantern, "window": {"flour_to_fat": {"max": 9}}}))
    assert outcome.outcome == "infeasible"
    assert outcome.ratios.before.flour_to_fat is None
    assert [(c.limit, c.relax_to) for c in outcome.conflicts] == [("flour_to_fat.max", None)]
    assert outcome.cost is None
    assert outcome.proof is None
    assert outcome.ratios.after is None


def test_fat_may_enter_a_dough_that_has_none(lantern):
    """Where butter may be added, the bound on flour to fat brings it in."""
    lantern["recipe"]["lines"].pop(1)
    brief = {**lantern, "window": {"flour_to_fat": {"max": 9}}, "limits": {"may_add": ["butter"]}}
    outcome = reformulate(brief_of(brief))
    assert outcome.outcome == "reformulated"
    assert outcome.lines[-1].ingredient == "unsalted butter"
    assert outcome.ratios.after.flour_to_fat <= 9


def test_flour_never_vanishes(lantern):
    """With the flour free to go, a window that an empty dough would meet still keeps some."""
    brief = {
        **lantern,
        "window": {"soda_equivalent_percent": {"max": 1}, "moisture_percent": {"max": 1000}},
        "limits": {"max_flour_change_percent": 100, "keep": ["baking soda"]},
    }
    outcome = reformulate(brief_of(brief))
    assert outcome.outcome == "reformulated"
    assert outcome.lines[0].after.grams > 437.5


def test_equal_answers_are_settled_by_the_later_line(lantern):
    """Two equal flours: the earlier one stays, the later one moves."""
    lines = [
        {"ingredient": "all-purpose flour", "quantity": 200, "unit": "g"},
        {"ingredient": "bread flour", "quantity": 200, "unit": "g"},
        {"ingredient": "lard", "quantity": 200, "unit": "g"},
    ]
    brief = {
        "recipe": {"lines": lines},
        "window": {"flour_to_fat": {"min": 2.1}},
        "limits": {"keep": ["lard"]},
        "measures": "scale",
    }
    outcome = reformulate(brief_of(brief))
    assert [line.after.grams for line in outcome.lines] == [200, 220, 200]


def test_a_deadline_gives_the_best_so_far_and_says_so(lantern):
    """With no time at all there is no answer yet, and the bound is nothing."""
    outcome = reformulate(brief_of(lantern), seconds_left=lambda: 0.0)
    assert outcome.outcome == "unfinished"
    assert outcome.proof.status == "deadline"
    assert outcome.proof.bound == 0
    assert outcome.cost is None


def test_scaling_a_recipe_in_grams_keeps_its_relative_changes():
    """On the scale, a dough of ten times the size moves by nearly the same share."""

    def flour_change(grams: int) -> float:
        lines = tuple(
            MeasuredLine(ingredient=name, quantity=float(q), unit="g")
            for name, q in (("flour", 4 * grams), ("lard", 2 * grams))
        )
        recipe = Recipe(lines=lines)
        assert Formula.from_recipe(recipe).flour_grams == Fraction(4 * grams)
        value = {
            "recipe": recipe.model_dump(),
            "window": {"flour_to_fat": {"min": 2.15}},
            "limits": {"keep": ["lard"]},
            "measures": "scale",
        }
        return reformulate(brief_of(value)).lines[0].change_percent

    assert flour_change(100) == pytest.approx(7.5)
    assert flour_change(1000) == pytest.approx(7.5)


@pytest.mark.parametrize("measures", ["as_written", "us", "metric", "scale"])
@pytest.mark.parametrize("kilograms", [0.02, 0.3, 2.4, 22.9, 51.7, 118.5, 460.2, 951.3])
def test_a_batch_of_any_size_is_the_nearest_that_can_be_measured(lantern, kilograms, measures):
    """From a spoonful to most of a ton: the re-check, which counts amounts for itself, finds none
    nearer, and the whole dough is what was asked for to within its smallest measures."""
    batch = {"dough_grams": 1000 * kilograms}
    lantern |= {"window": {}, "measures": measures, "batch": batch}
    outcome = reformulate(brief_of(lantern))
    assert outcome.outcome == "unchanged"
    total = sum(line.after.grams for line in outcome.lines)
    assert total == pytest.approx(1000 * kilograms, rel=0.03, abs=20)
