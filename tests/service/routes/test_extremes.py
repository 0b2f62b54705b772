"""Requests that once ended in a fault: each has an answer now, or a refusal."""

import pytest

LINES = [
    "3 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 cup granulated sugar",
    "2 tbsp whole milk",
    "1 1/2 tsp baking powder",
]
TARGET = {
    "form": {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 150},
    "thickness_mm": "3/16 in",
}


@pytest.mark.parametrize("path", ["/v1/reformulations", "/v1/ladders"])
@pytest.mark.parametrize(
    ("lines", "more"),
    [
        (LINES, {"batch": {"dough_grams": 2}}),  # some doughs on the way crack for certain
        (["0.0001 g all-purpose flour", *LINES[1:]], {}),  # liquid to flour beyond any bound
    ],
)
def test_it_is_answered(client, path, lines, more):
    """A dough of two grams, and one of hardly any flour, on a form."""
    recipe = {"lines": [{"text": line} for line in lines]}
    answer = client.post(path, json={"recipe": recipe, "target": TARGET, **more})
    assert answer.status_code == 200, answer.text
