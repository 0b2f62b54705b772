"""A word that is dropped may neither hide an allergen nor invent one.

The major food allergens are those of 21 U.S.C. 321(qq) as amended by the FASTER Act (Public Law
117-11), coconut no longer counted among tree nuts by the FDA's guidance of January 2025; which of
them a food holds is common practice, no source.
"""

import pytest

from models.pantry import known_pantry
from models.reading.aside import SetAside, understand_line

NONE: tuple[str, ...] = ()
HOLDS = {
    NONE: [
        "oat flour",
        "coconut sugar",
        "coconut flour",
        "coconut milk",
        "cocoa butter",
        "cream of tartar",
        "flaxseed egg",
        "rice milk",
        "buckwheat flour",
        "ground nutmeg",
        "nutmeg",
        "oat milk",
        "vegan butter",
        "plant-based butter",
        "dairy-free butter",
        "vegan margarine",
        "vegan cream cheese",
        "gluten-free flour",
        "gluten-free plain flour",
        "gluten-free all-purpose flour",
        "gluten free flour blend",
        "glutenfreies Mehl",
        "farine sans gluten",
        "chestnut flour",
        "tigernut flour",
        "lupin flour",
        "chickpea flour",
        "rice flour",
        "sweet rice flour",
        "glutinous rice flour",
        "sorghum flour",
        "millet flour",
        "quinoa flour",
        "teff flour",
        "amaranth flour",
        "cornstarch",
        "potato starch",
        "tapioca flour",
        "arrowroot",
        "rye flour",
        "barley flour",
        "almond extract",
        "vanilla extract",
        "sunflower seed butter",
        "apple butter",
        "sunflower oil",
        "coconut oil",
        "coconut cream",
        "egg replacer",
        "vegan egg",
        "chia egg",
        "aquafaba",
        "poppy seeds",
        "chia seeds",
        "sunflower seeds",
        "pumpkin seeds",
        "butternut squash",
        "eggplant",
        "kosher salt",
        "custard powder",
        "beer",
        "Hafermilch",
        "Kokosmilch",
        "Kokosmehl",
        "vegane Butter",
        "Kakaobutter",
        "Buchweizenmehl",
        "lait d'avoine",
        "lait de coco",
        "beurre de cacao",
        "farine de châtaigne",
        "farine de sarrasin",
        "noix de coco râpée",
        "noix de muscade",
    ],
    ("eggs",): [
        "liquid egg substitute",
        "meringue powder",
        "egg white powder",
        "egg yolk",
        "medium egg",
    ],
    ("milk",): [
        "buttermilk powder",
        "eggnog",
        "malted milk powder",
        "ghee",
        "brown butter",
        "clarified butter",
        "condensed milk",
        "double cream",
        "crème fraîche",
        "quark",
        "mascarpone",
        "ricotta",
        "kefir",
        "whey powder",
        "milk chocolate",
        "white chocolate",
        "toffee bits",
        "dulce de leche",
        "caramel sauce",
        "Buttermilch",
    ],
    ("peanuts",): [
        "peanut butter",
        "peanut flour",
        "peanut oil",
        "peanuts",
        "Erdnussbutter",
        "beurre de cacahuète",
    ],
    ("sesame",): [
        "tahini",
        "sesame oil",
        "sesame seeds",
        "Sesam",
    ],
    ("soybeans",): [
        "soy milk",
        "soy lecithin",
        "soy flour",
        "silken tofu",
        "Sojamilch",
    ],
    ("tree nuts",): [
        "almond milk",
        "marzipan",
        "hazelnut milk",
        "cashew milk",
        "almond flour",
        "ground almonds",
        "hazelnut flour",
        "walnut flour",
        "pecan meal",
        "pistachio flour",
        "cashew flour",
        "almond butter",
        "cashew butter",
        "hazelnut butter",
        "walnut oil",
        "hazelnut oil",
        "almond oil",
        "pine nuts",
        "mixed nuts",
        "nuts",
        "pecans",
        "pistachios",
        "macadamia nuts",
        "Brazil nuts",
        "cashews",
        "Mandelmus",
        "Mandelmilch",
        "Nüsse",
        "Haselnüsse",
        "Walnüsse",
        "Marzipan",
        "lait d'amande",
        "noix",
        "poudre d'amandes",
    ],
    (
        "tree nuts",
        "milk",
    ): [
        "chocolate hazelnut spread",
    ],
    ("wheat",): [
        "wheat germ",
        "spelt flour",
        "semolina",
        "whole wheat flour",
        "self-rising flour",
        "bread flour",
        "vital wheat gluten",
        "breadcrumbs",
        "graham cracker crumbs",
        "cake crumbs",
        "sourdough starter",
    ],
}
FOODS = [(name, holds) for holds, names in HOLDS.items() for name in names]
MADE_OF_SOMETHING_ELSE = [
    *("butter beans", "spelt milk", "barley milk", "flaxseed butter", "quinoa milk", "pea butter"),
    *("banana flour", "green banana flour", "cricket flour", "cassava flour", "acorn flour"),
    *("vegan sugar syrup", "sheep milk powder", "imitation butter", "mock cream", "egg-free egg"),
    *("lupin butter", "hemp butter", "oat butter", "water chestnut flour", "keto flour"),
]


@pytest.mark.parametrize(("name", "holds"), FOODS, ids=lambda value: str(value))
def test_a_food_holds_what_it_is_made_of(name, holds):
    """Weighed out by its everyday name, each food brings its own allergens and no others."""
    read = understand_line(f"100 g {name}", known_pantry())
    assert not isinstance(read, SetAside)
    assert set(read.ingredient.allergens_us or ()) == set(holds)
    assert read.ingredient.allergens_us is not None


@pytest.mark.parametrize("name", MADE_OF_SOMETHING_ELSE)
def test_what_is_made_of_something_else_is_never_the_usual_thing(name):
    """Whatever is not known brings no allergen of what its last word usually means; it is settled
    only where a row of the table says of what it is."""
    read = understand_line(f"100 g {name}", known_pantry())
    if isinstance(read, SetAside):
        assert read.is_doubtful
        return
    invented = {"wheat", "milk", "eggs"} & set(read.ingredient.allergens_us or ())
    assert not invented or "sheep" in name
    assert read.uncertain is not None and read.uncertain.code in {"nearest_food", "unknown_food"}
