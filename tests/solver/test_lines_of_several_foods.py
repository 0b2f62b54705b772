"""A line of several foods counts with each of them, and stays as it is whatever else moves."""

import json

import pytest

from models.brief import Brief
from solver.reformulate import reformulate


@pytest.mark.parametrize("batch", [None, {"factor": 2}])
def test_a_line_of_several_foods_never_moves(batch):
    """Its parts count; in a batch they are multiplied, and the answer passes its own re-check."""
    lines = ["2 cups flour", "1/2 cup butter + 1/4 cup shortening", "1 cup sugar", "1 egg"]
    asked = {
        "recipe": {"lines": [{"text": line} for line in lines]},
        "window": {"flour_to_fat": {"min": 1.7}},
        **({"batch": batch} if batch else {}),
    }
    outcome = reformulate(Brief.model_validate_json(json.dumps(asked)))
    assert outcome.outcome == "reformulated"
    mixed = outcome.lines[1]
    assert not mixed.moved
    factor = 2 if batch else 1
    assert mixed.after.grams == factor * (113.5 + 51.25)
    assert [line.line for line in outcome.lines] == [1, 2, 3, 4]
