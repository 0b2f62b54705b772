"""All faults of a request in one answer, whatever their kind."""

import json

import pytest

from models.brief import Brief
from models.errors import BadInput
from models.what_if import WhatIf
from service.reading.strict_json import understand

FLOUR = {"text": "3 cups all-purpose flour"}
BUTTER = {"ingredient": "unsalted butter", "quantity": 227, "unit": "g"}
STRANGER = {"ingredient": "powdered moonstone", "quantity": 20, "unit": "g"}


def pointers(model=Brief, **members):
    with pytest.raises(BadInput) as refused:
        understand(json.dumps(members).encode(), model)
    return sorted(fault.pointer for fault in refused.value.faults)


def test_a_bad_line_hides_nothing_else():
    """A stranger in a line, names in the limits that are nowhere, and no window: all are told."""
    recipe = {"lines": [FLOUR, STRANGER, BUTTER]}
    limits = {"keep": ["honey", "unsalted butter"], "may_add": ["unobtainium"]}
    assert pointers(recipe=recipe, limits=limits) == [
        "",
        "/limits/keep/0",
        "/limits/may_add/0",
        "/recipe/lines/1/ingredient",
    ]


def test_faults_of_one_limit_hide_none_of_another():
    """A name that is no text and a percentage beyond 100 leave the other names to be judged."""
    limits = {"keep": [5, "honey"], "max_flour_change_percent": 400}
    assert pointers(recipe={"lines": [FLOUR, BUTTER]}, window={}, limits=limits) == [
        "/limits/keep/0",
        "/limits/keep/1",
        "/limits/max_flour_change_percent",
    ]


def test_a_line_at_fault_makes_no_faults_of_its_own():
    """Whoever keeps the very line that is misspelt is told of that alone."""
    misspelt = {"ingredient": "all-porpoise flour", "quantity": 400, "unit": "g"}
    limits = {"keep": ["all-purpose flour"]}
    recipe = {"lines": [misspelt, BUTTER]}
    assert pointers(recipe=recipe, window={}, limits=limits) == ["/recipe/lines/0/ingredient"]


def test_a_bad_form_is_not_a_missing_one():
    """What needs a target has one, though its form is misspelt."""
    target = {"form": {"kind": "cilinder"}, "thickness_mm": 4}
    found = pointers(recipe={"lines": [FLOUR, BUTTER]}, target=target, batch={"pieces": 12})
    assert found
    assert all(pointer.startswith("/target") for pointer in found)


def test_edits_are_judged_beside_a_bad_line():
    """What-if tells of an edit that fits nothing, too."""
    recipe = {"lines": [FLOUR, STRANGER, BUTTER]}
    edits = [{"ingredient": "honey", "change_percent": 5}]
    found = pointers(WhatIf, recipe=recipe, edits=edits)
    assert found == ["/edits/0/ingredient", "/recipe/lines/1/ingredient"]


def test_an_edit_at_fault_makes_no_faults_of_its_own():
    """An edit that adds a stranger is told of that alone, not of what other edits need."""
    recipe = {"lines": [FLOUR, BUTTER]}
    edits = [
        {"ingredient": "honey", "change_percent": 5},
        {"add": "unobtainium", "quantity": 1, "unit": "cup"},
    ]
    limits = {"keep": ["rose water"]}
    found = pointers(WhatIf, recipe=recipe, edits=edits, limits=limits)
    assert found == ["/edits/0/ingredient", "/edits/1/add", "/limits/keep/0"]
