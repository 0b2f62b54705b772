"""The re-check refuses an answer that was tampered with, whatever was changed in it."""

import json
import math
from functools import cache

import pytest

from models.errors import RecheckFailed
from models.outcome import Outcome
from solver.answers.recheck import recheck
from solver.reformulate import reformulate
from tests.conftest import brief_of
from tests.solver.answers.tampering import after, inside, line, moved, ratio, scoops, whole


def kept(lantern):
    return lantern


def by_the_spoon(lantern):
    return {**lantern, "measures": "us"}


def in_metric(lantern):
    return {**lantern, "measures": "metric"}


def by_weight(lantern):
    return {**lantern, "measures": "scale"}


def in_a_batch(lantern):
    return {**lantern, "batch": {"factor": 2.3}}


def with_an_added_line(lantern):
    return {
        **lantern,
        "window": {"moisture_percent": {"min": 31}},
        "limits": {"may_add": ["whole milk"], "keep": ["egg", "molasses", "butter"]},
    }


BRIEFS = [kept, by_the_spoon, in_metric, by_weight, in_a_batch, with_an_added_line]


@pytest.mark.parametrize("brief", BRIEFS)
def test_an_honest_answer_passes(lantern, brief):
    """What the service answers is what it promised."""
    asked = brief_of(brief(lantern))
    recheck(asked, reformulate(asked))


def dropped(outcome: Outcome) -> Outcome:
    return whole(lines=outcome.lines[:-1])(outcome)


def doubled(outcome: Outcome) -> Outcome:
    return whole(lines=(*outcome.lines, outcome.lines[-1]))(outcome)


def swapped(outcome: Outcome) -> Outcome:
    first, second, *rest = outcome.lines
    return whole(lines=(second, first, *rest))(outcome)


FLOUR, BUTTER, EGG, SUGAR, MOLASSES, SODA, GINGER, SALT = range(8)

TAMPERED = {
    "a fifth of a cup": after(FLOUR, measure="1/5 cup"),
    "a fifth, weighed in keeping": moved(SUGAR, "1/5 cup", 44.0, (1, "1/5 cup")),
    "half an egg": moved(EGG, "1/2 egg", 25.0, (1, "each")),
    "a third of an egg by weight": moved(EGG, "20 g", 20.0),
    "an eighth beside a teaspoon": moved(SODA, "1 1/8 tsp", 5.175, (1, "tsp"), (1, "1/8 tsp")),
    "four tablespoons": moved(SUGAR, "1/2 cup + 4 tbsp", 165.0, (1, "1/2 cup"), (4, "tbsp")),
    "three teaspoons": moved(SODA, "3 tsp", 13.8, (3, "tsp")),
    "units out of order": after(FLOUR, measure="3 tbsp + 3 2/3 cups"),
    "a longer writing": after(FLOUR, measure="3 2/3 cups + 2 tbsp + 3 tsp"),
    "tenths above twenty grams": moved(BUTTER, "230.5 g", 230.5),
    "spoons for a weighed line": moved(BUTTER, "1 cup", 227.0, (1, "cup")),
    "molasses three times as much": moved(MOLASSES, "1 cup", 337.0, (1, "cup")),
    "salt that does not move": moved(SALT, "1 tsp", 6.0, (1, "tsp")),
    "ginger that does not move": moved(GINGER, "2 tbsp", 10.8, (2, "tbsp")),
    "flour beyond its percentage": moved(FLOUR, "4 1/4 cups", 531.25, (4, "cup"), (1, "1/4 cup")),
    "butter beyond its reach": moved(BUTTER, "400 g", 400.0),
    "leavening beyond its reach": moved(SODA, "2 1/2 tsp", 11.5, (2, "tsp"), (1, "1/2 tsp")),
    "a moved line called unmoved": line(FLOUR, moved=False, reason=None),
    "grams other than the measure": after(FLOUR, grams=480.0),
    "negative grams": after(FLOUR, grams=-481.7708333333333),
    "no number for grams": after(FLOUR, grams=math.nan),
    "fillings too many": after(FLOUR, scoops=scoops((4, "cup"), (2, "1/3 cup"), (3, "tbsp"))),
    "fillings of another cup": after(FLOUR, scoops=scoops((3, "cup"), (2, "1/4 cup"), (3, "tbsp"))),
    "no fillings": after(FLOUR, scoops=()),
    "nothing after": line(FLOUR, after=None),
    "another start": lambda o: another_start(o),
    "a change of another size": line(FLOUR, change_percent=9.0),
    "a reason for a line that stays": line(EGG, reason="because"),
    "no reason for a move": line(FLOUR, reason=None),
    "another ingredient": line(FLOUR, ingredient="bread flour"),
    "another role": line(FLOUR, role="sugar"),
    "a line lost": dropped,
    "a line too many": doubled,
    "lines changed about": swapped,
    **{
        f"{name} after": ratio("after", name, 0.123)
        for name in (
            "flour_to_fat",
            "soda_equivalent_percent",
            "moisture_percent",
            "liquid_per_flour",
            "wet_per_flour",
            "sugar_percent",
            "egg_percent",
        )
    },
    "a ratio before": ratio("before", "moisture_percent", 20.0),
    "a ratio that is not a number": ratio("after", "flour_to_fat", math.nan),
    "a ratio left out": ratio("after", "flour_to_fat", None),
    **{
        f"the cost's {name}": inside("cost", **{name: 0.7})
        for name in ("total", "change", "moved_lines", "scoops", "left_out", "sheet")
    },
    "a bound above the cost": inside("proof", bound=9.0),
    "a proof that falls short": inside("proof", bound=0.1),
    "no proof": whole(proof=None),
    "unchanged": whole(outcome="unchanged"),
    "infeasible": whole(outcome="infeasible", cost=None),
    "another batch": whole(batch_factor=2.0),
    "a window not asked for": lambda o: whole(
        window={**o.window, "flour_to_fat": o.window["flour_to_fat"].model_copy(update={"min": 1})}
    )(o),
    "a window from the form": lambda o: whole(
        window={
            **o.window,
            "flour_to_fat": o.window["flour_to_fat"].model_copy(update={"source": "form"}),
        }
    )(o),
    "a bound hidden": lambda o: whole(
        window={name: bound for name, bound in o.window.items() if name != "flour_to_fat"}
    )(o),
    "an allergen lost": lambda o: whole(
        allergens=o.allergens.model_copy(update={"us": ("milk", "eggs")})
    )(o),
}


def another_start(outcome: Outcome) -> Outcome:
    before = outcome.lines[FLOUR].before.model_copy(update={"grams": 400.0})
    return line(FLOUR, before=before)(outcome)


@cache
def asked_and_answered(brief: str):
    asked = brief_of(json.loads(brief))
    return asked, reformulate(asked)


@pytest.mark.parametrize("how", TAMPERED)
def test_a_tampered_answer_is_refused(lantern, how):
    """Each way to spoil the lantern dough's answer is found."""
    asked, honest = asked_and_answered(json.dumps(lantern))
    spoilt = TAMPERED[how](honest)
    with pytest.raises(RecheckFailed):
        recheck(asked, spoilt)


@pytest.mark.parametrize(
    "bound",
    [
        {"window": {"flour_to_fat": {"max": 2.1}}},
        {"window": {"moisture_percent": {"min": 29}}},
        {"window": {"wet_per_flour": {"max": 0.3}}},
        {"limits": {"liquid_per_flour": {"min": 0.5}}},
        {"limits": {"keep": ["all-purpose flour"]}},
        {"limits": {"max_change_percent": {"baking soda": 10}}},
        {"limits": {"max_flour_change_percent": 5}},
        {"powder_strength": 0.3, "batch": {"factor": 1.5}},
    ],
)
def test_an_answer_to_another_brief_is_refused(lantern, bound):
    """What held for one brief is judged anew for another."""
    answered = reformulate(brief_of(lantern))
    with pytest.raises(RecheckFailed):
        recheck(brief_of({**lantern, **bound}), answered)


def test_what_was_added_is_within_what_may_be(lantern):
    """Milk beyond three tenths of the flour, milk that was not offered, milk in front."""
    asked = brief_of(with_an_added_line(lantern))
    answered = reformulate(asked)
    added = len(answered.lines) - 1
    assert answered.lines[added].ingredient == "whole milk"
    milk = answered.lines[added]
    for spoilt in (
        after(added, measure="1 cup", grams=244.0, scoops=scoops((1, "cup")))(answered),
        line(added, ingredient="water")(answered),
        line(added, moved=False, reason=None)(answered),
        whole(lines=(milk, *answered.lines[:-1]))(answered),
    ):
        with pytest.raises(RecheckFailed):
            recheck(asked, spoilt)


def test_in_a_batch_the_nearest_measure_stands_for_unmoved(lantern):
    """A line that stays lies nowhere but at the measurable amount nearest to its scaled one."""
    asked = brief_of(in_a_batch(lantern))
    answered = reformulate(asked)
    assert not answered.lines[GINGER].moved
    start = answered.lines[GINGER].before.grams
    assert answered.lines[GINGER].after.grams == pytest.approx(start, rel=0.05)
    for measure, grams, filled in [
        ("2 tbsp", 10.8, [(2, "tbsp")]),
        ("1/4 cup", 21.6, [(1, "1/4 cup")]),
        ("none", 0.0, []),
    ]:
        spoilt = after(GINGER, measure=measure, grams=grams, scoops=scoops(*filled))(answered)
        with pytest.raises(RecheckFailed):
            recheck(asked, spoilt)


def test_a_dough_without_flour_is_refused(lantern):
    """An answer that leaves all flour out is no dough."""
    asked = brief_of({**lantern, "limits": {"max_flour_change_percent": 100}})
    spoilt = moved(FLOUR, "none", 0.0)(reformulate(asked))
    with pytest.raises(RecheckFailed, match="no flour"):
        recheck(asked, spoilt)
