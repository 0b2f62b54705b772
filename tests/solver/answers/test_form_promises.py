"""What an answer promises of a form: the sheet, what it costs, the estimates, a dough that rolls.

The figures are the contract's; the other promises are `test_each_promise.py`.
"""

from itertools import pairwise

import pytest

from solver.reformulate import reformulate
from tests.solver.answers.tampering import DOUGH, both, dough, faults, inside, moved, whole, window

ON_FORM = {
    "target": {
        "form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
        "thickness_mm": 5,
        "may_roll_to_mm": 2.5,
        "may_chill": True,
    },
    "window": {"crack_chance_percent": {"max": 50}},
}


def sheet(**members):
    """Tamper with the sheet that is proposed."""

    def tampered(outcome):
        after = outcome.target.after.model_copy(update=members)
        return inside("target", after=after)(outcome)

    return tampered


def spread(what, side, **members):
    """Tamper with an estimate."""

    def tampered(outcome):
        both = getattr(outcome.form, what)
        told = getattr(both, side).model_copy(update=members)
        return inside("form", **{what: both.model_copy(update={side: told})})(outcome)

    return tampered


def kept_back(what, side):
    def tampered(outcome):
        both = getattr(outcome.form, what).model_copy(update={side: None})
        return inside("form", **{what: both})(outcome)

    return tampered


def planned(**members):
    """Tamper with the sheet as it was planned."""

    def tampered(outcome):
        before = outcome.target.before.model_copy(update=members)
        return inside("target", before=before)(outcome)

    return tampered


BROKEN = [
    (whole(target=None), "the form is not the brief's"),
    (planned(thickness_mm=4.0), "the sheet as planned is not the brief's"),
    (planned(chilled=True), "the sheet as planned is not the brief's"),
    (inside("target", after=None), "no sheet is proposed"),
    (sheet(thickness_mm=2.0), "a sheet of 2.0 mm was not allowed"),
    (sheet(thickness_mm=6.0), "a sheet of 6.0 mm was not allowed"),
    (sheet(thickness_mm=4.5), "no guide sets 4.5 mm"),
    *(
        (spread(what, side, **{end: 17.3}), f"the {word} is")
        for what, word in (("chance_percent", "chance"), ("growth_mm", "growth"))
        for side in ("before", "after")
        for end in ("value", "low", "high")
    ),
    *(
        (kept_back(what, side), "an estimate is kept back")
        for what in ("chance_percent", "growth_mm")
        for side in ("before", "after")
    ),
    (both(kept_back("chance_percent", "after"), kept_back("growth_mm", "after")), "kept"),
    (whole(form=None), "nothing is said of the form"),
    (window("crack_chance_percent", max=1.0), "% is above its limit"),
    (window("liquid_per_flour", source="caller"), "is not from the caller"),
]


@pytest.fixture(scope="module")
def asked_and_answered():
    """A brief on a form and its answer, of which nothing is broken yet."""
    brief = dough(**ON_FORM)
    honest = reformulate(brief)
    assert faults(brief, honest) == []
    return brief, honest


@pytest.mark.parametrize(("tampered", "fault"), BROKEN)
def test_what_is_broken_is_named(asked_and_answered, tampered, fault):
    """Tampered with, this promise is among those named."""
    brief, honest = asked_and_answered
    told = faults(brief, tampered(honest))
    assert any(fault in one for one in told), told


def test_the_brief_has_no_form_and_the_answer_has():
    """A form that nobody asked for is named."""
    on_form = reformulate(dough(**ON_FORM))
    assert "the form is not the brief's" in faults(dough(window={}), on_form)


def test_a_sheet_is_thinned_or_chilled_only_where_it_may_be():
    """What an answer did to its sheet is held against what the brief allows."""
    target = ON_FORM["target"]
    outcome = reformulate(dough(**ON_FORM))
    thin = sheet(thickness_mm=4.0, chilled=True)(outcome)
    fixed = {name: value for name, value in target.items() if name != "may_roll_to_mm"}
    told = faults(dough(**{**ON_FORM, "target": fixed}), thin)
    assert "a sheet of 4.0 mm was not allowed" in told
    warm = {name: value for name, value in target.items() if name != "may_chill"}
    assert "the sheet is not to be chilled" in faults(dough(**{**ON_FORM, "target": warm}), thin)
    cold = {**target, "chilled": True}
    told = faults(dough(**{**ON_FORM, "target": cold}), sheet(chilled=False)(outcome))
    assert "the sheet is not to be chilled" in told
    by_inches = {**ON_FORM, "target": {**target, "thickness_mm": "3/16 in"}}
    honest = reformulate(dough(**by_inches))
    told = faults(dough(**by_inches), sheet(thickness_mm=25.4 / 8)(honest))
    assert not [one for one in told if "guide" in one or "allowed" in one]


@pytest.mark.parametrize("at_most", [30, 16, 5])
def test_a_thinner_or_colder_sheet_is_paid_for(at_most):
    """0.02, a tenth of the share that it is thinner, 0.2 for each millimetre below 3, and 0.02 for
    the cold: figures of the contract."""
    window = {"crack_chance_percent": {"max": at_most}}
    kept = {"keep": [name for name, _, _ in DOUGH]}
    brief = dough(target=ON_FORM["target"], window=window, limits=kept)
    honest = reformulate(brief)
    rolled = honest.target.after
    assert rolled.thickness_mm < 5
    cost = 0.02 + 0.1 * (1 - rolled.thickness_mm / 5) + 0.02 * rolled.chilled
    cost += 0.2 * max(0, 3 - rolled.thickness_mm)
    assert honest.cost.sheet == pytest.approx(cost, abs=1e-12)
    assert faults(brief, honest) == []


MARKS_MM = (1.5, 2, 2.5, 3, 3.5, 4, 5, 6)
MARKS_IN = (1 / 16, 3 / 32, 1 / 8, 5 / 32, 3 / 16, 7 / 32, 1 / 4, 5 / 16)


def test_guides_set_what_they_set():
    """The contract's thicknesses under eight millimetres, and nothing between two of them."""
    form = {"kind": "cylinder", "diameter_mm": 200, "wrap_degrees": 90}
    brief = dough(target={"form": form, "thickness_mm": 8, "may_roll_to_mm": 1.5})
    honest = reformulate(brief)

    def is_set(thickness_mm: float) -> bool:
        told = faults(brief, sheet(thickness_mm=thickness_mm)(honest))
        return not [one for one in told if "guide" in one or "allowed" in one]

    marks = [*MARKS_MM, *(25.4 * mark for mark in MARKS_IN)]
    assert [mark for mark in marks if not is_set(mark)] == []
    between = [(one + other) / 2 for one, other in pairwise(sorted(marks)) if other - one > 0.01]
    assert [thickness for thickness in between if is_set(thickness)] == []


MILKY = [("all-purpose flour", 400, "g"), ("unsalted butter", 200, "g"), ("whole milk", 100, "g")]


@pytest.mark.parametrize(
    ("grams", "rolls"), [(100, True), (115, True), (116, False), (85, True), (84, False)]
)
def test_a_dough_still_rolls(grams, rolls):
    """On a form the liquid to the flour moves by 15 % at the most, unless the caller bounds it."""
    brief = dough(MILKY, target=ON_FORM["target"])
    moving = moved(2, f"{grams} g", float(grams)) if grams != 100 else whole()
    told = faults(brief, moving(reformulate(brief)))
    fault = "liquid_per_flour moved by more than a dough that still rolls allows"
    assert (fault not in told) == rolls
    stated = dough(MILKY, target=ON_FORM["target"], window={"liquid_per_flour": {"max": 1}})
    assert fault not in faults(stated, moving(reformulate(stated)))
