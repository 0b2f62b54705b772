"""A run's brief: what no recipe could mend is refused; what one recipe lacks is left out."""

import json

import pytest
from pydantic import ValidationError

from models.errors import BadInput
from models.recipe import Recipe
from models.run import RunBrief

CYLINDER = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
LIMITS = {
    "keep": ["molasses", "egg", "lantern light"],
    "max_change_percent": {"butter": 10, "honey": 3},
    "may_add": ["egg", "whole milk", "salt"],
}


def brief_of(**members):
    return RunBrief.model_validate_json(json.dumps({"catalogue_id": "cat_x", **members}))


def recipe_of(*lines):
    return Recipe.model_validate_json(json.dumps({"lines": [{"text": line} for line in lines]}))


@pytest.fixture
def dough():
    """Flour, butter and an egg."""
    return recipe_of("2 cups flour", "1 cup butter", "1 egg")


def test_names_that_a_recipe_lacks_are_left_out(dough):
    """Names in keep, max_change_percent and may_add apply where they can; the rest is told."""
    brief, left_out = brief_of(window={}, limits=LIMITS).brief_for(dough)
    assert brief.limits.keep == ("egg",)
    assert brief.limits.max_change_percent == {"butter": 10}
    assert brief.limits.may_add == ("whole milk",)
    assert [one.limit for one in left_out] == [
        "keep.molasses",
        "keep.lantern light",
        "max_change_percent.honey",
        "may_add.egg",
        "may_add.salt",
    ]
    assert "already there" in left_out[3].message


def test_everything_else_reaches_the_brief(dough):
    """Window, weights, measures, strength and batch are the run's own."""
    members = {
        "window": {"flour_to_fat": {"min": 2}},
        "weights": {"egg": 3},
        "measures": "metric",
        "powder_strength": 0.3,
        "batch": {"factor": 2},
        "limits": {"max_flour_change_percent": 5},
        "target": {"form": CYLINDER, "thickness_mm": 4},
    }
    run = brief_of(**members)
    brief, left_out = run.brief_for(dough)
    assert left_out == ()
    for name in members:
        assert getattr(brief, name) == getattr(run, name)


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({}, ""),
        ({"window": {"crack_chance_percent": {"max": 5}}}, "/window/crack_chance_percent"),
        ({"window": {}, "batch": {"pieces": 3}}, "/batch/pieces"),
        ({"window": {}, "recipe": {"lines": []}}, "/recipe"),
        ({"window": {}, "limits": {"kept": []}}, "/limits/kept"),
    ],
)
def test_what_no_recipe_could_mend_is_refused(members, pointer):
    """A run that every recipe would refuse is refused itself, where the fault stands."""
    with pytest.raises(ValidationError) as refused:
        brief_of(**members)
    assert [fault.pointer for fault in BadInput.of(refused.value).faults] == [pointer]


def test_a_recipe_that_cannot_be_asked_about_says_why():
    """Without flour there is nothing to reformulate, and the fault says so."""
    with pytest.raises(BadInput, match="has no flour"):
        brief_of(window={}, limits=LIMITS).brief_for(recipe_of("1 egg"))
