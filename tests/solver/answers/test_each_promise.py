"""Each promise of an answer, one by one: broken, it is named; kept, nothing is said.

How far lines move is `test_reaches.py`, what is said of a form `test_form_promises.py`.
"""

import json
from fractions import Fraction
from functools import cache

import pytest

from models.errors import RecheckFailed
from models.outcome import Cost
from solver.answers.recheck import recheck
from solver.answers.recheck.cost import same
from solver.reformulate import reformulate
from tests.solver.answers.tampering import (
    DOUGH,
    EGG,
    FLOUR,
    SALT,
    SODA,
    added,
    after,
    dough,
    faults,
    inside,
    line,
    ratio,
    scoops,
    whole,
    window,
)


def with_milk(**members):
    """Return a brief that is met by adding some milk, and its answer."""
    brief = dough(
        window={"moisture_percent": {"min": 38}},
        limits={"may_add": ["water", "whole milk"], "keep": ["egg", "butter"], **members},
    )
    return brief, reformulate(brief)


def test_what_is_added_was_offered():
    """What one brief offered another may not have; and what is added comes in the order offered."""
    brief, outcome = with_milk()
    assert outcome.lines[-1].moved
    assert faults(brief, outcome) == []
    told = faults(dough(window={"moisture_percent": {"min": 38}}), outcome)
    assert ["may be added" in one for one in told] == [True]
    both = added("water", "liquid", "10 g", 10.0)(
        added("whole milk", "liquid", "10 g", 10.0)(reformulate(dough()))
    )
    offered = dough(limits={"may_add": ["water", "whole milk"]})
    assert any("may be added" in one for one in faults(offered, both))


def test_what_is_added_is_known():
    """A line of an ingredient that nobody knows is refused."""
    brief = dough(limits={"may_add": ["whole milk"]})
    with pytest.raises(RecheckFailed, match="moonlight is no known ingredient"):
        recheck(brief, added("moonlight", "liquid", "10 g", 10.0)(reformulate(brief)))


def test_of_little_too_the_nearest_measure_stands_for_unmoved():
    """A quarter of half a teaspoon of salt is an eighth, not a quarter."""
    eggless = [entry for entry in DOUGH if entry[0] != "egg"]
    brief = dough(eggless, batch={"factor": 0.25})
    honest = reformulate(brief)
    assert honest.lines[-1].after.measure == "1/8 tsp"
    told = faults(brief, after(4, measure="1/4 tsp", grams=1.5)(honest))
    assert any("is nearer to the scaled amount" in one for one in told)


def test_what_is_added_is_more_than_nothing():
    """A line that enters at nothing is not shown."""
    brief = dough(limits={"may_add": ["whole milk"]})
    told = faults(brief, added("whole milk", "liquid", "none", 0.0)(reformulate(brief)))
    assert told == ["an added line stays at nothing"]


WINDOW = {"flour_to_fat": {"min": 2.2}}


def start(k, **members):
    def tampered(outcome):
        before = outcome.lines[k].before.model_copy(update=members)
        return line(k, before=before)(outcome)

    return tampered


RATIOS = (
    *("flour_to_fat", "soda_equivalent_percent", "moisture_percent", "liquid_per_flour"),
    *("wet_per_flour", "sugar_percent", "egg_percent"),
)
PLAIN = {"window": WINDOW}
DOUBLE = {"window": WINDOW, "batch": {"factor": 2.3}}
BROKEN = [
    (PLAIN, line(FLOUR, ingredient="bread flour"), "not those of the recipe"),
    (PLAIN, line(FLOUR, role="sugar"), "not those of the recipe"),
    (PLAIN, after(FLOUR, grams=443.0), "g is not 443.0 g"),
    (PLAIN, after(SALT, measure="1/4 tsp"), "does not move, and reads 1/4 tsp"),
    (PLAIN, after(EGG, scoops=scoops((1, "each"))), "the fillings are"),
    (PLAIN, after(SALT, scoops=scoops((2, "1/2 tsp"))), "the fillings are"),
    (DOUBLE, after(SALT, measure="none", grams=0.0, scoops=()), "was lost in scaling"),
    (DOUBLE, after(SALT, measure="1 tsp", grams=6.0), "is nearer to the scaled amount"),
    (PLAIN, start(SALT, grams=4.0), "does not start from"),
    (PLAIN, start(SALT, measure="1 tsp"), "does not start from"),
    (PLAIN, line(SALT, reason="because"), "a moved line has a reason"),
    (PLAIN, line(SALT, change_percent=1.0), "is not changed by 1.0 %"),
    (PLAIN, line(SALT, change_percent=None), "is not changed by None %"),
    (PLAIN, lambda o: whole(ratios=o.ratios.model_copy(update={"after": None}))(o), "are missing"),
    *(
        (PLAIN, ratio(side, name, 0.123), f"{name} is not 0.123")
        for side in ("before", "after")
        for name in RATIOS
    ),
    *(
        (PLAIN, inside("cost", **{name: 0.7}), f"the cost's {name} is")
        for name in ("change", "moved_lines", "scoops", "left_out", "sheet")
    ),
    (PLAIN, inside("cost", total=0.7), "the cost is"),
    (PLAIN, whole(outcome="unchanged"), "unchanged is not what happened"),
    (PLAIN, whole(outcome="infeasible"), "infeasible is not what happened"),
    ({}, whole(outcome="reformulated"), "reformulated is not what happened"),
    (PLAIN, whole(proof=None), "bound is above the cost"),
    (PLAIN, inside("proof", bound=9.0), "bound is above the cost"),
    (PLAIN, inside("proof", bound=0.0), "does not reach the cost"),
    (PLAIN, whole(batch_factor=2.0), "the batch's factor is not 2.0"),
    (PLAIN, window("flour_to_fat", source="form"), "is not from the form"),
    (PLAIN, window("flour_to_fat", min=2.1), "is not bounded as asked"),
    (PLAIN, window("flour_to_fat", max=2.9), "is not bounded as asked"),
    (PLAIN, whole(window={}), "a bound of the window is not shown"),
    (
        PLAIN,
        lambda o: whole(allergens=o.allergens.model_copy(update={"us": ()}))(o),
        "the allergens",
    ),
]


@cache
def answered(members: str):
    """Return a brief and its answer, of which nothing is broken yet."""
    brief = dough(**json.loads(members))
    honest = reformulate(brief)
    assert faults(brief, honest) == []
    return brief, honest


@pytest.mark.parametrize(("members", "tampered", "fault"), BROKEN)
def test_what_is_broken_is_named(members, tampered, fault):
    """An honest answer has no fault; tampered with, this promise is among those named."""
    brief, honest = answered(json.dumps(members))
    told = faults(brief, tampered(honest))
    assert any(fault in one for one in told), told


@pytest.mark.parametrize(
    ("name", "bounds"),
    [
        ("flour_to_fat", {"min": 2.0001}),
        ("flour_to_fat", {"max": 1.9999}),
        ("egg_percent", {"min": 25.001}),
        ("egg_percent", {"max": 24.999}),
    ],
)
def test_each_side_of_a_bound_holds_exactly(name, bounds):
    """400 g of flour to 200 g of butter and 100 g of egg: 2 and 25, which meet a bound of the same
    figure and break one a hair off, in the window and as a limit."""
    honest, fault = reformulate(dough()), f"{name} does not keep its bounds"
    exact = {side: round(value, 2) for side, value in bounds.items()}
    for made in (lambda b: dough(window={name: b}), lambda b: dough(limits={name: b})):
        assert fault in faults(made(bounds), honest)
        assert fault not in faults(made(exact), honest)


def test_a_ratio_of_nothing_keeps_no_bound():
    """Without fat there is no flour to fat to be bounded."""
    fatless = [entry for entry in DOUGH if entry[0] != "unsalted butter"]
    honest = reformulate(dough(fatless))
    told = faults(dough(fatless, limits={"flour_to_fat": {"max": 9}}), honest)
    assert told == ["flour_to_fat does not keep its bounds"]
    assert faults(dough(fatless, window={"flour_to_fat": {}}), honest) == [
        "a bound of the window is not shown"
    ]


def test_a_weight_of_the_callers_own_is_paid():
    """Flour at twice the usual weight costs twice its share: for one caller, not for another."""
    heavy = {**PLAIN, "weights": {"flour": 2}, "limits": {"keep": ["butter"]}}
    honest = reformulate(dough(**heavy))
    flour = honest.lines[FLOUR]
    assert honest.cost.change == pytest.approx(2 * flour.change_percent / 100, abs=1e-12)
    assert faults(dough(**heavy), honest) == []
    usual = {name: value for name, value in heavy.items() if name != "weights"}
    assert any("the cost's change is" in one for one in faults(dough(**usual), honest))


def test_a_line_that_goes_is_paid_for():
    """0.15 for a leavener taken to nothing, and its whole change: 0.4."""
    brief = dough(window={"soda_equivalent_percent": {"max": 0}})
    honest = reformulate(brief)
    assert honest.lines[SODA].after.measure == "none"
    assert (honest.cost.left_out, honest.cost.change) == pytest.approx((0.15, 0.4))
    assert faults(brief, honest) == []


@pytest.mark.parametrize(
    ("shown", "true", "alike"),
    [
        (0.3 + 5e-10, "0.3", True),
        (0.3 - 2e-9, "0.3", False),
        (1500 + 1e-6, "1500", True),
        (1500 - 4e-6, "1500", False),
        (None, "0", False),
        (0.0, None, False),
        (None, None, True),
    ],
)
def test_a_number_is_shown_to_its_ninth_digit(shown, true, alike):
    """A float stands for a fraction where they differ by a billionth, or by a billionth of it."""
    assert same(shown, None if true is None else Fraction(true)) == alike


def test_a_term_of_the_cost_that_nobody_sums_is_named(monkeypatch):
    """A cost with a further term is no answer until the re-check knows the term."""
    brief = dough(**PLAIN)
    honest = reformulate(brief)

    class Dearer(Cost):
        polish: float = 0.0

    monkeypatch.setattr("solver.answers.recheck.cost.Cost", Dearer)
    assert faults(brief, honest) == ["the cost's polish is not weighed again"]


def test_no_answer_shows_nothing_after():
    """Where nothing was found there is no cost, no line after and no ratio after."""
    brief = dough(window={"flour_to_fat": {"min": 9}})
    honest = reformulate(brief)
    assert (honest.outcome, faults(brief, honest)) == ("infeasible", [])
    assert faults(brief, whole(outcome="unfinished")(honest)) == []
    assert "reformulated has no cost" in faults(brief, whole(outcome="reformulated")(honest))
    shown = {"before": honest.ratios.before, "after": honest.ratios.before}
    line_after = reformulate(dough()).lines[0].after
    for tampered in (inside("ratios", **shown), line(FLOUR, after=line_after)):
        assert "something is shown after, and nothing was found" in faults(brief, tampered(honest))


@pytest.mark.parametrize("size", [{"dough_grams": 1500}, {"flour_grams": 700}, {"factor": 1.7}])
def test_a_batch_is_of_the_size_that_was_asked_for(size):
    """An answer for one size is none for another."""
    honest = reformulate(dough(**{**PLAIN, "batch": size}))
    [(name, value)] = size.items()
    assert faults(dough(**{**PLAIN, "batch": size}), honest) == []
    other = faults(dough(**{**PLAIN, "batch": {name: 1.5 * value}}), honest)
    assert any("the batch's factor is not" in one for one in other)
