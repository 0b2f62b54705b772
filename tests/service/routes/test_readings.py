"""POST /v1/readings: text or schema.org's words as a recipe, nothing dropped in silence."""

import json

from tests.service.problem_checks import problem_in

TEXT = """
3 1/2 cups all-purpose flour

1 cup (227 g) unsalted butter
Bake until done.
a pinch of salt
"""


def test_every_line_is_answered_once(client):
    """What reads as an ingredient counts; what does not is set aside in its place."""
    reading = client.post("/v1/readings", json={"title": "Lantern dough", "text": TEXT}).json()
    assert reading["recipe"]["title"] == "Lantern dough"
    assert reading["recipe"]["lines"] == [{"text": line["text"]} for line in reading["lines"]]
    assert [(x["ingredient"], x["grams"]) for x in reading["lines"]] == [
        ("all-purpose flour", 437.5),
        ("unsalted butter", 227.0),
        (None, None),
        ("salt", 0.4),
    ]
    (aside,) = (line for line in reading["lines"] if line["aside"])
    assert (aside["line"], aside["text"]) == (5, "Bake until done.")
    assert aside["aside"]["code"] == "not_food"
    assert aside["aside"]["message"]


def test_a_doubtful_line_says_so(client):
    """A pinch is read as 0.4 g, and not without saying so."""
    reading = client.post("/v1/readings", json={"text": "a pinch of salt"}).json()
    assert reading["lines"][0]["uncertain"]["code"] == "pinch"


def test_text_without_a_recipe_has_none(client):
    """Where nothing reads as an ingredient there is no recipe, and every line is reported."""
    reading = client.post("/v1/readings", json={"text": "hello\r\nworld"}).json()
    assert reading["recipe"] is None
    assert [x["line"] for x in reading["lines"]] == [1, 2]
    assert all(x["aside"] for x in reading["lines"])


def test_a_caller_may_bring_ingredients(client):
    """An ingredient of the caller's own is read like any other, and stays with the recipe."""
    village = {"name": "village flour", "role": "flour", "water_percent": 13, "grams_per_cup": 130}
    asked = {"text": "2 cups village flour", "custom_ingredients": [village]}
    reading = client.post("/v1/readings", json=asked).json()
    assert reading["lines"][0]["grams"] == 260
    assert reading["recipe"]["custom_ingredients"][0]["name"] == "village flour"


def test_ingredients_of_one_name_are_a_fault(client):
    """Two of the caller's ingredients cannot share a name."""
    village = {"name": "village flour", "role": "flour", "water_percent": 13, "grams_per_cup": 130}
    asked = {"text": "2 cups village flour", "custom_ingredients": [village, village]}
    answer = client.post("/v1/readings", json=asked)
    pointers = {fault["pointer"] for fault in problem_in(answer, 422)["errors"]}
    assert "/custom_ingredients/1/name" in pointers


def test_a_text_has_two_hundred_lines_at_most(client):
    """Blank lines do not count; the two hundred and first other line is a fault."""
    assert client.post("/v1/readings", json={"text": "1 egg\n\n" * 200}).status_code == 200
    answer = client.post("/v1/readings", json={"text": "1 egg\n" * 201})
    assert problem_in(answer, 422)["errors"][0]["pointer"] == "/text"


def test_a_line_too_long_is_left_unread(client):
    """A line of more than 2,000 characters is reported like any other that cannot be read."""
    text = "1 egg\n2 cups " + "x" * 2001
    reading = client.post("/v1/readings", json={"text": text}).json()
    assert [x["line"] for x in reading["unread"]] == [2]


SCHEMA_ORG = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Lantern panel",
    "recipeIngredient": ["3 cups flour", "For the icing:", {"name": "egg", "value": 2}],
    "recipeYield": "1 lantern",
}


def test_a_recipe_in_schema_orgs_words_is_read(client):
    """JSON-LD, alone or within a page, is read like text: what reads is in the recipe."""
    page = f"<script type='application/ld+json'>{json.dumps(SCHEMA_ORG)}</script>"
    for asked in ({"json_ld": {"@graph": [SCHEMA_ORG]}}, {"html": page}):
        reading = client.post("/v1/readings", json=asked).json()
        assert reading["recipe"]["title"] == "Lantern panel"
        lines = [(line["text"], (line["aside"] or {}).get("code")) for line in reading["lines"]]
        assert lines == [
            ("3 cups flour", None),
            ("For the icing:", "heading"),
            ("2 egg", "other_part"),
        ]


def test_of_several_recipes_the_longest_is_read(client):
    """The others are named, so that nobody wonders where they went."""
    other = {"@type": ["Thing", "Recipe"], "name": "Glue", "recipeIngredient": ["2 egg whites"]}
    reading = client.post("/v1/readings", json={"json_ld": [other, [SCHEMA_ORG]]}).json()
    assert (reading["title"], reading["other_recipes"]) == ("Lantern panel", ["Glue"])
    assert reading["yield"] == "1 lantern"


def test_a_reading_needs_a_recipe(client):
    """None, or too long a one: a fault where it stands, and not a guess."""
    for content in (
        [],
        {**SCHEMA_ORG, "recipeIngredient": ["1 egg"] * 201},
    ):
        answer = client.post("/v1/readings", json={"json_ld": content})
        assert problem_in(answer, 422)["errors"][0]["pointer"] == "/json_ld"
    answer = client.post("/v1/readings", json={"html": "<p> </p>"})
    assert problem_in(answer, 422)["errors"][0]["pointer"] == "/html"


def test_a_reading_is_of_one_kind(client):
    """Text, JSON-LD or a page, and not two of them nor none."""
    for asked in ({}, {"text": "1 egg", "html": "<p>"}, {"title": "Panel"}):
        problem_in(client.post("/v1/readings", json=asked), 422)
