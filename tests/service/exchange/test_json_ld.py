"""schema.org recipes, wherever they stand.

The shape of the first is that of the example published at https://schema.org/Recipe: the same
members, our own content.
"""

import json
import time

import pytest

from models.errors import BadInput
from service.exchange.entry import Entry, Unusable
from service.exchange.json_ld import MOST_PAGE_BYTES, read_json_ld, read_page, recipe_object

PUBLISHED_SHAPE = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "author": "The lantern makers of Wickhollow",
    "cookTime": "PT1H",
    "datePublished": "2009-05-08",
    "description": "Dark panels that stand: a gingerbread for lanterns.",
    "image": "lantern.jpg",
    "recipeIngredient": [
        "3 1/2 cups all-purpose flour",
        "1 egg",
        "3/4 cup of sugar",
    ],
    "interactionStatistic": {
        "@type": "InteractionCounter",
        "interactionType": "https://schema.org/Comment",
        "userInteractionCount": "140",
    },
    "name": "Lantern gingerbread",
    "nutrition": {
        "@type": "NutritionInformation",
        "calories": "240 calories",
        "fatContent": "9 grams fat",
    },
    "prepTime": "PT15M",
    "recipeInstructions": "Roll between two boards. Cut. Bake.",
    "recipeYield": "1 lantern",
    "suitableForDiet": "https://schema.org/VegetarianDiet",
}


def entries(content):
    return list(read_json_ld([json.dumps(content).encode()]))


def recipe(**members):
    return {"@type": "Recipe", "name": "Panel", "recipeIngredient": ["1 egg"], **members}


def test_the_published_shape_parses():
    """Every line is read, and every other member is kept and written back."""
    (entry,) = entries(PUBLISHED_SHAPE)
    assert entry.title == "Lantern gingerbread"
    assert [x.text for x in entry.recipe.lines] == PUBLISHED_SHAPE["recipeIngredient"]
    assert entry.extras["recipeYield"] == "1 lantern"
    written = recipe_object(entry)
    assert {name: written[name] for name in PUBLISHED_SHAPE} == PUBLISHED_SHAPE


@pytest.mark.parametrize(
    "around",
    [
        lambda one: one,
        lambda one: [one],
        lambda one: {"@context": "https://schema.org", "@graph": [{"@type": "WebSite"}, one]},
        lambda one: {"@type": "WebPage", "mainEntity": one},
        lambda one: {"@type": "ItemList", "itemListElement": [{"position": 1, "item": one}]},
        lambda one: [[{"a": {"b": [one]}}]],
    ],
)
@pytest.mark.parametrize(
    "kind", ["Recipe", ["Thing", "Recipe"], "https://schema.org/Recipe", "schema:Recipe"]
)
def test_a_recipe_is_found_wherever_it_stands(around, kind):
    """Alone, in arrays, in a graph, in other things, and however its type is spelled."""
    (entry,) = entries(around(recipe(**{"@type": kind})))
    assert entry.recipe.lines[0].text == "1 egg"


@pytest.mark.parametrize(
    ("line", "words", "grams"),
    [
        ({"@type": "HowToSupply", "name": "whole milk", "requiredQuantity": "1 cup"}, None, 244),
        (
            {
                "@type": "PropertyValue",
                "name": "butter",
                "value": 227,
                "unitCode": "GRM",
            },
            "227 g butter",
            227,
        ),
        (
            {
                "@type": "HowToSupply",
                "name": "flour",
                "requiredQuantity": {"value": 2, "unitText": "cups"},
            },
            "2 cups flour",
            250,
        ),
        ({"@value": "1 egg"}, "1 egg", 50),
        ("1 &frac12; cups flour &amp; more", "1 ½ cups flour & more", 187.5),
    ],
)
def test_lines_may_be_objects(line, words, grams):
    """Objects are read in words, and written back as they were."""
    (entry,) = entries(recipe(recipeIngredient=[line]))
    (reading,) = entry.recipe.readings()
    assert float(reading.amount.grams) == pytest.approx(grams, rel=0.01)
    assert words in {None, entry.recipe.lines[0].text}
    assert recipe_object(entry)["recipeIngredient"] == [line]


def test_the_older_name_of_the_lines_is_understood():
    """`ingredients` is what recipeIngredient was called before; one text is divided into lines."""
    (entry,) = entries({"@type": "Recipe", "ingredients": "1 egg\n2 cups flour"})
    assert [x.text for x in entry.recipe.lines] == ["1 egg", "2 cups flour"]


def test_a_reference_is_no_recipe_and_no_line():
    """References are not followed: as a recipe one says nothing, as a line it cannot be read."""
    graph = {
        "@graph": [{"@id": "#a"}, recipe(**{"@id": "#a", "recipeIngredient": [{"@id": "#a"}]})]
    }
    (entry,) = entries(graph)
    assert entry.external_id == "#a"
    assert not entry.recipe.counted
    assert "#a" in entry.recipe.lines[0].text


def test_a_remote_context_is_never_fetched(monkeypatch):
    """No connection is opened whatever a context names; it is kept and written back."""

    def refuse(*_):
        raise AssertionError("a connection was opened")

    monkeypatch.setattr("socket.socket.connect", refuse)
    monkeypatch.setattr("socket.getaddrinfo", refuse)
    context = ["https://wickhollow.example/context.jsonld", {"@import": "http://10.0.0.1/"}]
    (entry,) = entries(recipe(**{"@context": context}))
    assert recipe_object(entry)["@context"] == context


@pytest.mark.parametrize(
    ("members", "name"),
    [
        ({"identifier": "p-1", "@id": "#x", "url": "https://w.example"}, "p-1"),
        ({"@id": "#x", "url": "https://w.example"}, "#x"),
        ({"identifier": {"@type": "PropertyValue"}, "url": "../../etc/passwd"}, "../../etc/passwd"),
    ],
)
def test_a_recipe_goes_by_what_names_it(members, name):
    """identifier, @id and url name a recipe, in this order; a name is only ever a name."""
    (entry,) = entries(recipe(**members))
    assert entry.external_id == name


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"null",
        b"{",
        b"[",
        b"[1,",
        b"[{}",
        b'["\\',
        b"{}",
        b"[]",
        b"[]]",
        b"[1] [2]",
        b"\xff\xfe[",
        b'{"@type": "Recipe", "name": NaN}',
        b"[" * 100_000,
        b'{"a":' * 900,
        b'{"@type": "Recipe", "name": "\\ud800", "recipeIngredient": ["1 egg"]}',
        b'{"@type": "Recipe", "name": "a\\u0000", "recipeIngredient": ["1 egg"]}',
        b'{"@type": "Recipe", "name": "a", "name": "b", "recipeIngredient": ["1 egg"]}',
        b'{"@type": "Recipe", "x": [' + b"1," * 100_000 + b"1]}",
        b'{"@type": "Recipe", "name": "' + b"x" * 1_100_000 + b'"}',
        b'{"@type": "Recipe", "custom_ingredients": 5, "recipeIngredient": ["1 egg"]}',
    ],
)
def test_what_is_no_recipe_is_left_out_with_a_word(body):
    """Whatever arrives, what cannot be used is said, and nothing is made up."""
    found = list(read_json_ld([body]))
    assert found
    assert all(isinstance(one, Unusable) and one.message for one in found)


def test_one_bad_recipe_does_not_stop_the_rest():
    """In an array of any length each element stands alone."""
    body = b'[{"@type": "Recipe", "x": 1e999}, %s, "\\\\", %s, {"]": "[,"}]' % (
        json.dumps(recipe(name='a "quoted, [name]" \\')).encode(),
        json.dumps(recipe(name="b")).encode(),
    )
    for size in (1, 7, len(body)):
        found = list(read_json_ld(body[at : at + size] for at in range(0, len(body), size)))
        assert [x.title if isinstance(x, Entry) else None for x in found] == [
            None,
            'a "quoted, [name]" \\',
            "b",
        ]


PAGE = """<!DOCTYPE html><html><head><title>Wickhollow</title>
<!-- <script type="application/ld+json">{"@type": "Recipe", "name": "hidden"}</script> -->
<script>var x = "<script type='application/ld+json'>";</script>
<SCRIPT data-x='>' TYPE = "application/ld+json; charset=utf-8" >
%s
</SCRIPT >
<script type=application/ld+json>{"@type": "WebSite"}</script>
<p>unclosed <b <i></p></body>"""


@pytest.mark.parametrize("wrapping", ["%s", "//<![CDATA[\n%s\n//]]>", "<!--\n%s\n-->"])
def test_a_page_gives_its_recipes(wrapping):
    """Scripts are found in a page well-formed or not, wrapped or not, and none in a comment."""
    body = json.dumps(recipe(description="ends <\\/script> here")).replace("\\\\/", "\\/")
    (entry,) = read_page([(PAGE % (wrapping % body)).encode()])
    assert entry.title == "Panel"
    assert entry.extras["description"] == "ends </script> here"


def test_a_page_with_a_bad_script_still_gives_the_others():
    """A broken script is reported, and the recipe after it is read."""
    scripts = ["{broken", json.dumps([recipe(), recipe(name="Roof")])]
    page = "".join(f'<script type="application/ld+json">{script}</script>' for script in scripts)
    bad, *good = read_page([page.encode()])
    assert isinstance(bad, Unusable)
    assert [one.title for one in good] == ["Panel", "Roof"]


def test_a_page_without_recipes_says_so():
    """A page in which nothing is a recipe is not answered with nothing."""
    assert [x.message for x in read_page([b"<html>"])] == ["There is no schema.org Recipe in it."]


def test_a_page_is_refused_where_it_is_too_large_or_no_text():
    """A page is held whole, so it has a limit; and it is UTF-8."""
    for page in (b"x" * (MOST_PAGE_BYTES + 1), b"\xff"):
        with pytest.raises(BadInput):
            list(read_page([page]))


@pytest.mark.parametrize(
    "bit",
    [
        *("<!--", "<a", "<script", "<script ", "<script>", "<script a='", "<![CDATA[", "<?"),
        *("</script", "<script type='application/ld+json'>"),
        "<script type='application/ld+json'>{</script>",
    ],
)
def test_a_page_made_to_hurt_takes_no_longer_than_another(bit):
    """Time grows with the page and not with its square: a megabyte of any mark is soon read."""
    began = time.process_time()
    found = list(read_page([(bit * (300_000 // len(bit))).encode()]))
    assert found
    assert time.process_time() - began < 3
