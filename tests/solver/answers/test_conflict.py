"""An honest no: limits that cannot hold together, and what each would need."""

import copy
import json
from functools import cache

import pytest

from models.outcome import Conflict, Outcome
from solver.reformulate import reformulate
from tests.conftest import brief_of

INFEASIBLE = [
    ({"flour_to_fat": {"min": 3.4}}, {"keep": ["unsalted butter"]}),
    ({"flour_to_fat": {"min": 3.4}, "moisture_percent": {"min": 45}}, {}),
    ({"flour_to_fat": {"max": 1.0}}, {"max_change_percent": {"unsalted butter": 20}}),
    ({"egg_percent": {"min": 30}}, {}),
    ({"sugar_percent": {"max": 20}}, {"max_flour_change_percent": 5}),
    ({"flour_to_fat": {"min": 2.8}, "liquid_per_flour": {"min": 0.45}}, {"keep": ["butter"]}),
]


@cache
def answered(brief: str) -> Outcome:
    return reformulate(brief_of(json.loads(brief)))


def outcome_of(brief) -> Outcome:
    """Answer a brief; once, however many tests ask it."""
    return answered(json.dumps(brief))


@pytest.mark.parametrize(("window", "limits"), INFEASIBLE)
def test_each_relaxation_on_offer_works_when_sent_back(lantern, window, limits):
    """One conflicting limit at its relax_to, and nothing else changed, makes the brief feasible."""
    brief = {**lantern, "window": window, "limits": limits}
    outcome = outcome_of(brief)
    assert outcome.outcome == "infeasible"
    for conflict in outcome.conflicts:
        if conflict.relax_to is not None:
            assert outcome_of(relaxed(brief, [conflict])).outcome == "reformulated"
    assert outcome.relaxation
    together = reformulate(brief_of(relaxed(brief, outcome.relaxation)))
    assert together.outcome == "reformulated"


@pytest.mark.parametrize(("window", "limits"), INFEASIBLE)
def test_a_conflict_set_has_no_member_to_spare(lantern, window, limits):
    """Alone the set is infeasible; without any one member it is feasible."""
    brief = {**lantern, "window": window, "limits": limits}
    names = [c.limit for c in outcome_of(brief).conflicts]
    alone = only(brief, names)
    assert reformulate(brief_of(alone)).outcome == "infeasible"
    for spared in names:
        rest = only(brief, [name for name in names if name != spared])
        assert reformulate(brief_of(rest)).outcome in {"reformulated", "unchanged"}


@pytest.mark.parametrize(("window", "limits"), INFEASIBLE[:4])
def test_relax_to_is_the_least_value_that_works(lantern, window, limits):
    """A hair short of relax_to the brief is still infeasible."""
    brief = {**lantern, "window": window, "limits": limits}
    for conflict in outcome_of(brief).conflicts:
        if conflict.relax_to is None:
            continue
        nearly = conflict.relax_to + (conflict.value - conflict.relax_to) * 1e-6
        short = conflict.model_copy(update={"relax_to": nearly})
        assert reformulate(brief_of(relaxed(brief, [short]))).outcome == "infeasible"


def given_up(conflict: Conflict) -> float:
    """Return what a limit gives way by: a share of itself, or of the amount that moves."""
    whole = conflict.value if conflict.kind in {"ratio", "held_ratio"} else 100
    return abs(conflict.relax_to - conflict.value) / whole


@pytest.mark.parametrize(
    ("window", "limits"),
    [
        ({"flour_to_fat": {"min": 3.4}}, {"keep": ["unsalted butter"]}),
        ({"sugar_percent": {"max": 20}}, {"max_flour_change_percent": 5}),
        ({"flour_to_fat": {"min": 2.8}}, {"keep": ["butter"]}),
    ],
)
def test_the_way_out_is_the_one_that_gives_up_least(lantern, window, limits):
    """Where several limits would each do alone, the one that gives way by the smallest share."""
    outcome = outcome_of({**lantern, "window": window, "limits": limits})
    shares = {c.limit: given_up(c) for c in outcome.conflicts if c.relax_to is not None}
    assert len(set(shares.values())) > 1
    assert [c.limit for c in outcome.relaxation] == [min(shares, key=shares.__getitem__)]


def relaxed(brief, conflicts):
    eased = copy.deepcopy(brief)
    for conflict in conflicts:
        kind, _, name = conflict.limit.partition(".")
        limits = eased["limits"]
        if kind == "max_flour_change_percent":
            limits[kind] = conflict.relax_to
        elif kind == "max_change_percent":
            limits[kind][name] = conflict.relax_to
        elif kind == "keep":
            limits["keep"].remove(name)
            limits.setdefault("max_change_percent", {})[name] = conflict.relax_to
        elif kind == "limits":
            ratio, _, side = name.partition(".")
            limits[ratio][side] = conflict.relax_to
        else:
            eased["window"][kind][name] = conflict.relax_to
    return eased


def only(brief, names):
    """Keep the named limits; the flour's is opened wide where it is not one of them."""
    kept = copy.deepcopy(brief)
    for ratio, sides in brief["window"].items():
        for side in sides:
            if f"{ratio}.{side}" not in names:
                del kept["window"][ratio][side]
    limits = kept["limits"]
    if "max_flour_change_percent" not in names:
        limits["max_flour_change_percent"] = 100
    limits["keep"] = [n for n in limits.get("keep", []) if f"keep.{n}" in names]
    bounds = limits.get("max_change_percent", {})
    limits["max_change_percent"] = {
        n: p for n, p in bounds.items() if f"max_change_percent.{n}" in names
    }
    return kept


def test_a_dough_without_any_liquid_can_be_asked_for_none(lantern):
    """Butter and starch alone: nothing liquid may move, so the one bound that works is none."""
    lines = [("unsalted butter", 452, "g"), ("cornstarch", 50, "g")]
    lantern["recipe"]["lines"] = [{"ingredient": i, "quantity": q, "unit": u} for i, q, u in lines]
    asked = {**lantern, "window": {}, "limits": {"liquid_per_flour": {"min": 0.15}}}
    (conflict,) = reformulate(brief_of(asked)).conflicts
    assert (conflict.limit, conflict.relax_to) == ("limits.liquid_per_flour.min", 0)
    asked["limits"] = {"liquid_per_flour": {"min": conflict.relax_to}}
    assert reformulate(brief_of(asked)).outcome == "unchanged"
