"""Catalogues as NDJSON: three ways to write a recipe, and lines that hold none."""

import json

import pytest

from service.exchange.entry import Entry, Unusable, written_lines
from service.exchange.ndjson_catalogue import read_ndjson


def read(*lines):
    return list(read_ndjson("\n".join(map(json.dumps, lines)).encode().splitlines(True)))


def test_a_recipe_may_be_lines():
    """Text and measured lines under one name."""
    milk = {"ingredient": "whole milk", "quantity": 2, "unit": "tbsp"}
    (entry,) = read({"external_id": "a", "title": "A", "lines": ["1 egg", milk]})
    assert written_lines(entry) == ["1 egg", milk]


def test_a_line_may_be_as_every_request_has_it():
    """`{"text": …}` is its text, and read as such: the contract's recipe."""
    (entry,) = read({"external_id": "a", "lines": [{"text": "1 egg"}, {"text": "2 cups flour"}]})
    assert written_lines(entry) == ["1 egg", "2 cups flour"]
    assert entry.recipe is not None
    assert [line.model_dump() for line in entry.recipe.lines] == [
        {"text": "1 egg"},
        {"text": "2 cups flour"},
    ]
    assert entry.recipe is not None


def test_a_recipe_may_be_one_of_ours():
    """As it is sent to be reformulated; its title is the entry's where there is no other."""
    (entry,) = read({"external_id": "a", "recipe": {"title": "A", "lines": [{"text": "1 egg"}]}})
    assert entry.title == "A"
    assert entry.recipe.lines[0].text == "1 egg"


def test_a_line_of_ours_that_does_not_read_is_kept():
    """Nothing is lost for a line that cannot be read, the caller's ingredients neither."""
    own = [{"name": "zorkling", "role": "flour", "water_percent": 13, "grams_per_cup": 130}]
    lines = [{"text": "2 cups zorkling"}, {"text": "2 cans blorp"}]
    (entry,) = read(
        {"external_id": "a", "recipe": {"lines": lines, "custom_ingredients": own}, "title": "A"}
    )
    assert entry.recipe.custom_ingredients[0].name == "zorkling"
    assert [line.line for line in entry.recipe.doubtful] == [2]
    assert written_lines(entry) == ["2 cups zorkling", "2 cans blorp"]


def test_a_recipe_may_be_in_schema_orgs_words():
    """One line may hold one recipe or several."""
    one = {"@type": "Recipe", "name": "A", "recipeIngredient": ["1 egg"]}
    found = read(one, {"@graph": [one, {**one, "name": "B"}]})
    assert [entry.title for entry in found] == ["A", "A", "B"]


@pytest.mark.parametrize(
    "line",
    [
        b"nonsense",
        b"5",
        b"[]",
        b'{"external_id": "a", "lines": ["1 egg"], "color": 1}',
        b'{"external_id": "a", "lines": ["1 egg"], "recipe": {"lines": []}}',
        b'{"external_id": "a", "recipe": {"lines": 5}}',
        b'{"external_id": "a", "recipe": {"lines": [{"text": "1 egg"}], "colour": 1}}',
        b'{"external_id": "", "lines": ["1 egg"]}',
        b'{"external_id": "a\\u0000", "lines": ["1 egg"]}',
        b'{"external_id": "a", "title": "\\udfff", "lines": ["1 egg"]}',
        b'{"external_id": "a", "lines": [5]}',
        b'{"external_id": "a", "lines": ' + b"[" * 100_000,
        b'{"external_id": "a", "lines": [' + b'"1 egg",' * 100_000 + b'"1 egg"]}',
        b'{"external_id": "a", "title": "' + b"x" * 1_100_000 + b'"}',
        b"\xff\xfe",
    ],
)
def test_a_bad_line_does_not_stop_the_rest(line):
    """What a line says that cannot be used is told with its number; the next one is read."""
    good = b'{"external_id": "z", "lines": ["1 egg"]}'
    bad, *rest = read_ndjson([b"\n" + line + b"\r\n" + good])
    assert isinstance(bad, Unusable)
    assert bad.row == 2
    assert bad.message
    assert [one.external_id for one in rest if isinstance(one, Entry)] == ["z"]
