"""Entries of every kind, as Hypothesis makes them up: read whole, in part, or not at all."""

from typing import Any

from hypothesis import strategies as st

from service.exchange.entry import Entry, entry_of

LINES = (
    "3 1/2 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 egg",
    " 3/4 cup packed brown sugar ",
    "1 1/2 tsp baking soda",
    "2 cups flour &amp; more",
    "2 handfuls of petals",
    "For the icing:",
    "sprinkles",
    "butter",
    "=1+1",
    "'=1+1",
    "-5",
    '1" piece of ginger; "quoted", twice\r\nover two lines',
    "½ Tasse Öl \U0001f370 ‮",
)

text = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=30)
titles = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]), max_size=30)
measured = st.fixed_dictionaries(
    {
        "ingredient": st.one_of(st.sampled_from(["egg", "salt", "whole milk"]), text),
        "quantity": st.one_of(
            st.sampled_from([1, 227.5, "many", "", "5"]),
            st.floats(min_value=0, max_value=1e6, allow_nan=False),
        ),
        "unit": st.sampled_from(["g", "cup", "each", "bushel", ""]),
    }
)
supply = st.fixed_dictionaries(
    {"@type": st.just("HowToSupply"), "name": st.sampled_from(["whole milk", "=zork"])},
    optional={"requiredQuantity": st.sampled_from([2, "1 cup", {"value": 2, "unitText": "tbsp"}])},
)
line = st.one_of(st.sampled_from(LINES), text, measured, supply)
member = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-(2**53), 2**53), text),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(text, inner, max_size=3)),
    max_leaves=6,
)
extras = st.dictionaries(
    text.filter(lambda name: name.rsplit("/", 1)[-1].split(":")[-1] not in TAKEN),
    member,
    max_size=3,
)
TAKEN = {
    *("name", "identifier", "url", "@id", "@type", "@context", "@graph", "ingredients"),
    *("recipeIngredient", "custom_ingredients"),
}


@st.composite
def entries(draw: Any) -> Entry:
    """Draw an entry as it would be read from some file."""
    name = draw(text.filter(lambda name: bool(name.strip())))
    title = draw(st.one_of(st.none(), titles))
    return entry_of(name, title, draw(st.lists(line, max_size=6)), draw(extras))
