"""Where a recipe stands in what was pasted: JSON-LD in any nesting, microdata, a page as it is"
" seen."""

import json

import pytest

from models.errors import BadInput
from service.exchange.json_ld import read_page
from service.reading.recipe_text import RecipeText, read_recipe

LINES = ["250 g plain flour", "125 g butter", "1 egg"]
RECIPE = {"@type": "Recipe", "name": "Quay biscuits", "recipeIngredient": LINES}
SECTIONS = {
    **RECIPE,
    "recipeYield": ["24", "24 biscuits"],
    "recipeIngredient": [
        {"@type": "HowToSection", "name": "Dough", "itemListElement": LINES},
        {
            "@type": "HowToSection",
            "name": "Icing",
            "itemListElement": [{"text": "80 g icing sugar"}],
        },
    ],
}
JSON_LD = {
    "alone": RECIPE,
    "a list": [{"@type": "WebSite", "name": "Quay"}, RECIPE],
    "a graph": {"@context": "https://schema.org", "@graph": [{"@type": "Person"}, RECIPE]},
    "several types": {**RECIPE, "@type": ["Article", "https://schema.org/Recipe"]},
    "several recipes": [{**RECIPE, "name": "Glaze", "recipeIngredient": ["1 egg"]}, RECIPE],
    "twice the same": [RECIPE, {"@graph": [RECIPE]}],
    "the main entity": {"@type": "WebPage", "mainEntity": RECIPE},
    "sections": SECTIONS,
}
MICRODATA = """<!DOCTYPE html><html><head><title>Quay &amp; co</title></head><body>
<nav><ul><li>Home</li></ul></nav><div itemscope itemtype="http://schema.org/Recipe">
<h1 itemprop="name">Quay biscuits</h1><meta itemprop="recipeYield" content="24 biscuits">
<ul><li itemprop="recipeIngredient"><span>250&nbsp;g</span> <span>plain flour</span></li>
<li itemprop="recipeIngredient">125 g butter</li><li itemprop='ingredients'>1 egg</li></ul></div>
<script>var x = "<li itemprop='recipeIngredient'>3 cups sugar</li>"</script></body></html>"""
PLAIN = """<html><head><style>p {color: red}</style></head><body><nav><a>Shop</a></nav>
<h1>Quay biscuits</h1><p>Makes 24 biscuits</p><h2>Ingredients</h2>
<ul><li>250&#160;g plain flour<li>125 g butter<li>1 egg</ul><h2>Method</h2>
<p>Rub 125 g butter into the flour.<br>Bake.</p></body></html>"""


def page_with(content):
    return f"<html><script type='application/ld+json'>{json.dumps(content)}</script></html>"


def dough_of(reading):
    return [(line.ingredient, line.grams) for line in reading.lines if line.grams]


DOUGH = [("all-purpose flour", 250.0), ("unsalted butter", 125.0), ("egg", 50.0)]


@pytest.mark.parametrize("name", JSON_LD)
def test_json_ld_gives_its_recipe_however_it_is_nested(name):
    """As JSON-LD, within a page, and both pasted as text, it is the same dough."""
    content = JSON_LD[name]
    for asked in (
        RecipeText(json_ld=content),
        RecipeText(html=page_with(content)),
        RecipeText(text=page_with(content)),
        RecipeText(text=json.dumps(content, indent=1)),
    ):
        reading = read_recipe(asked)
        assert (reading.title, dough_of(reading)) == ("Quay biscuits", DOUGH)


def test_sections_are_parts_and_the_fullest_yield_is_kept():
    """The icing's section is another part; of "24" and "24 biscuits" the second is kept."""
    reading = read_recipe(RecipeText(json_ld=SECTIONS))
    assert (reading.makes, reading.parts) == ("24 biscuits", ("Dough", "Icing"))
    assert reading.lines[-1].aside.code == "other_part"


@pytest.mark.parametrize("page", [MICRODATA, PLAIN], ids=["microdata", "plain"])
def test_a_page_without_json_ld_is_read(page):
    """Its microdata, or else the words that a reader sees; what a script holds is not among"
    " them."""
    for asked in (RecipeText(html=page), RecipeText(text=page)):
        reading = read_recipe(asked)
        assert (reading.title, reading.makes) == ("Quay biscuits", "24 biscuits")
        assert dough_of(reading) == DOUGH
        assert reading.unread == ()


@pytest.mark.parametrize("page", [MICRODATA, page_with(SECTIONS), page_with(RECIPE)])
def test_an_import_finds_the_same_dough(page):
    """What a catalogue makes of a page is what a reading makes of it."""
    (entry,) = read_page([page.encode()])
    grams = [float(read.amount.grams) for read in entry.recipe.readings()]
    assert grams == [grams for _, grams in DOUGH]


def test_a_page_without_a_word_says_what_to_do():
    """No recipe is made of nothing."""
    for asked in (RecipeText(html="<p> </p>"), RecipeText(json_ld=[])):
        with pytest.raises(BadInput) as refused:
            read_recipe(asked)
        assert "Paste the ingredients as text" in refused.value.faults[0].message


@pytest.mark.parametrize(
    "mark", ["<", "<!--", "<a ", "<div>", "<li itemprop=name>", "&amp", '<p x="']
)
def test_a_page_made_to_hurt_is_read_once(mark):
    """Two hundred thousand marks of a kind are walked without looking back."""
    junk = f"<html>{mark * 200_000 if len(mark) < 8 else mark * 40_000}"
    try:
        read_recipe(RecipeText(html=junk))
    except BadInput as refused:
        assert refused.faults[0].message
