"""Lines as people write them, each with the exact grams and measure of its reading.

Cup, spoon and piece weights are those of the pantry, which `tests/published` holds to their
sources; ounces and pounds are the international ones. Lines read with doubt are in
`test_doubts.py`, lines that are refused in `test_refusals.py`.
"""

from fractions import Fraction

import pytest

from models.ingredient import Ingredient
from models.measures import Term
from models.pantry import known_pantry
from models.reading import read_line

OUNCE = Fraction("28.349523125")
POUND = Fraction("453.59237")
ML_OF_MILK = Fraction(244 * 1000, 236588)  # a cup of 244 g and 236.588 mL


MIX = Ingredient(
    name="lantern mix (coarse + fine), type 3 cups",
    role="flour",
    water_percent=12.0,
    grams_per_cup=130.0,
)

CERTAIN = {
    # numbers and units
    "3 1/2 cups all-purpose flour": ("all-purpose flour", Fraction(875, 2), "3 1/2 cups"),
    "1½ cups sugar": ("granulated sugar", 300, "1 1/2 cups"),
    "1-1/2 cups sugar": ("granulated sugar", 300, "1 1/2 cups"),
    "1 1⁄2 cups sugar": ("granulated sugar", 300, "1 1/2 cups"),
    "one and a half cups sugar": ("granulated sugar", 300, "1 1/2 cups"),
    "a cup and a half of sugar": ("granulated sugar", 300, "1 1/2 cups"),
    "half a cup sugar": ("granulated sugar", 100, "1/2 cup"),
    "quarter cup sugar": ("granulated sugar", 50, "1/4 cup"),
    "⅔ cup sugar": ("granulated sugar", Fraction(400, 3), "2/3 cup"),
    "1,5 kg flour": ("all-purpose flour", 1500, "1.5 kg"),
    "1.5kg flour": ("all-purpose flour", 1500, "1.5 kg"),
    "250g flour": ("all-purpose flour", 250, "250 g"),
    "0 g salt": ("salt", 0, "none"),
    "8 oz butter": ("unsalted butter", 8 * OUNCE, "8 oz"),
    "½ lb. butter": ("unsalted butter", POUND / 2, "0.5 lb"),
    "1 lb 4 oz flour": ("all-purpose flour", POUND + 4 * OUNCE, "1 lb + 4 oz"),
    "100 ml milk": ("whole milk", 100 * ML_OF_MILK, "100 ml"),
    "1 dl milk": ("whole milk", 100 * ML_OF_MILK, "100 ml"),
    "5 cl milk": ("whole milk", 50 * ML_OF_MILK, "50 ml"),
    "1 l milk": ("whole milk", 1000 * ML_OF_MILK, "1 l"),
    "1 l 200 ml milk": ("whole milk", 1200 * ML_OF_MILK, "1 l + 200 ml"),
    "1 pint milk": ("whole milk", 488, "2 cups"),
    "1 qt. milk": ("whole milk", 976, "4 cups"),
    "8 fl. oz. milk": ("whole milk", 244, "8 fl oz"),
    "1 c. sugar": ("granulated sugar", 200, "1 cup"),
    "2 T sugar": ("granulated sugar", 25, "2 tbsp"),
    "2 t salt": ("salt", 12, "2 tsp"),
    "2 Tbsp. sugar": ("granulated sugar", 25, "2 tbsp"),
    "3 tsps baking powder": ("baking powder", Fraction(69, 5), "3 tsp"),
    "2 level tsp baking powder": ("baking powder", Fraction(46, 5), "2 tsp"),
    "2 EL sugar": ("granulated sugar", 25, "2 tbsp"),
    "1 Teelöffel Salz": ("salt", 6, "1 tsp"),
    "1 c. à soupe de sucre": ("granulated sugar", Fraction(25, 2), "1 tbsp"),
    "1 c.à.c. de sel": ("salt", 6, "1 tsp"),
    "2 cuillères à soupe de sucre": ("granulated sugar", 25, "2 tbsp"),
    # amounts in several pieces
    "2 x 115 g butter": ("unsalted butter", 230, "230 g"),
    "2 × 115g butter": ("unsalted butter", 230, "230 g"),
    "115 g x 2 butter": ("unsalted butter", 230, "230 g"),
    "3 x 1/2 cup sugar": ("granulated sugar", 300, "1 1/2 cups"),
    "1 cup plus 2 tablespoons flour": ("all-purpose flour", Fraction(1125, 8), "1 cup + 2 tbsp"),
    "1/2 cup and 1 tbsp sugar": ("granulated sugar", Fraction(225, 2), "1/2 cup + 1 tbsp"),
    "1 stick + 2 tbsp butter": ("unsalted butter", Fraction(1131, 8), "1 stick + 2 tbsp"),
    "flour 1 cup + 2 tbsp": ("all-purpose flour", Fraction(1125, 8), "1 cup + 2 tbsp"),
    # the same amount twice: a weight wins, and grams over ounces
    "1 cup (120 g) flour": ("all-purpose flour", 120, "120 g"),
    "1 cup flour (120 g), sifted": ("all-purpose flour", 120, "120 g"),
    "1 cup/120 g flour": ("all-purpose flour", 120, "120 g"),
    "1 cup or 120 g flour": ("all-purpose flour", 120, "120 g"),
    "flour, 1 cup = 120 g": ("all-purpose flour", 120, "120 g"),
    "120 g (1 cup) flour": ("all-purpose flour", 120, "120 g"),
    "2 sticks (8 oz / 226 g) butter": ("unsalted butter", 226, "226 g"),
    "1 cup (2 sticks, 8 oz) butter": ("unsalted butter", 8 * OUNCE, "8 oz"),
    "1 cup + 2 tbsp (140 g) flour": ("all-purpose flour", 140, "140 g"),
    "1 cup (125 g) plus 2 tbsp (15 g) flour": ("all-purpose flour", 140, "125 g + 15 g"),
    "1/2 cup (1 stick) unsalted butter, softened": ("unsalted butter", Fraction(227, 2), "1/2 cup"),
    "1/8 tsp (a pinch) salt": ("salt", Fraction(3, 4), "1/8 tsp"),
    # packs
    "8-ounce package cream cheese": ("cream cheese", 8 * OUNCE, "8 oz"),
    "1 (8 oz) package cream cheese": ("cream cheese", 8 * OUNCE, "8 oz"),
    "2 (8 oz) packages cream cheese": ("cream cheese", 16 * OUNCE, "16 oz"),
    "two 8-ounce packages cream cheese": ("cream cheese", 16 * OUNCE, "16 oz"),
    "1 package (8 oz) cream cheese": ("cream cheese", 8 * OUNCE, "8 oz"),
    "2 sticks butter, 113 g each": ("unsalted butter", 226, "226 g"),
    "1 stick butter": ("unsalted butter", 113, "1 stick"),
    "1 packet yeast": ("active dry yeast", Fraction(36, 5), "1 packet"),
    "1 envelope yeast": ("active dry yeast", Fraction(36, 5), "1 packet"),
    "2 envelopes gelatin": ("gelatin", 14, "2 envelopes"),
    # eggs and other pieces
    "2 eggs": ("egg", 100, "2 eggs"),
    "2 large eggs": ("egg", 100, "2 eggs"),
    "2x large eggs": ("egg", 100, "2 eggs"),
    "3 (large) eggs": ("egg", 150, "3 eggs"),
    "1 egg, beaten": ("egg", 50, "1 egg"),
    "half an egg": ("egg", 25, "1/2 egg"),
    "a dozen eggs": ("egg", 600, "12 eggs"),
    "eggs: 3": ("egg", 150, "3 eggs"),
    "eggs, 2 large": ("egg", 100, "2 eggs"),
    "Eggs (2)": ("egg", 100, "2 eggs"),
    "100 g egg": ("egg", 100, "100 g"),
    "1 egg yolk": ("egg yolk", 17, "1 yolk"),
    "2 egg whites": ("egg white", 66, "2 whites"),
    "whites of 2 eggs": ("egg white", 66, "2 whites"),
    "the yolks of 3 large eggs": ("egg yolk", 51, "3 yolks"),
    "1 jaune d'œuf": ("egg yolk", 17, "1 yolk"),
    "1 egg + 1 yolk": ("egg", 67, "1 egg + 1 yolk"),
    "3 eggs plus 2 yolks": ("egg", 184, "3 eggs + 2 yolks"),
    "1 large egg and 1 large egg yolk, beaten": ("egg", 67, "1 egg + 1 yolk"),
    "2 yolks + 1 egg": ("egg", 84, "2 yolks + 1 egg"),
    "juice of 1 lemon": ("lemon juice", 48, "1 lemon"),
    "2 ripe bananas, mashed": ("banana", 236, "2 bananas"),
    # the name first, bullets and rows of dots
    "flour - 2 cups": ("all-purpose flour", 250, "2 cups"),
    "butter: 100 g": ("unsalted butter", 100, "100 g"),
    "Butter 100 g": ("unsalted butter", 100, "100 g"),
    "Flour ..... 250g": ("all-purpose flour", 250, "250 g"),
    "butter, softened, 100 g": ("unsalted butter", 100, "100 g"),
    "farine T55 250 g": ("all-purpose flour", 250, "250 g"),
    "• 2 cups flour": ("all-purpose flour", 250, "2 cups"),
    "- 2 cups flour": ("all-purpose flour", 250, "2 cups"),
    "[ ] 2 cups flour": ("all-purpose flour", 250, "2 cups"),
    # handling that changes no weight
    "2 cups flour, sifted": ("all-purpose flour", 250, "2 cups"),
    "2 cups of the flour, divided": ("all-purpose flour", 250, "2 cups"),
    "3/4 cup packed brown sugar": ("brown sugar", 165, "3/4 cup"),
    "3/4 packed cup dark brown sugar": ("brown sugar", 165, "3/4 cup"),
    "1/2 cup butter, melted and cooled": ("unsalted butter", Fraction(227, 2), "1/2 cup"),
    "100 g butter, cut into 1-inch pieces": ("unsalted butter", 100, "100 g"),
    "1 cup warm water (110°F)": ("water", 237, "1 cup"),
    "1 cup chopped walnuts": ("chopped walnuts", 117, "1 cup"),
    # names with numbers, joints and marks in them
    "1 cup half and half": ("half and half", 242, "1 cup"),
    "half a cup half-and-half": ("half and half", 121, "1/2 cup"),
    "half and half, 1 cup": ("half and half", 242, "1 cup"),
    "1 cup 2% milk": ("2% milk", 244, "1 cup"),
    "2% milk, 1 cup": ("2% milk", 244, "1 cup"),
    "1 cup 80 proof rum": ("rum", Fraction("222.4"), "1 cup"),
    "100 g dark chocolate 70-85%": ("dark chocolate", 100, "100 g"),
    "1 tsp cream of tartar": ("cream of tartar", 3, "1 tsp"),
    "1 tsp ground ginger": ("ground ginger", Fraction(9, 5), "1 tsp"),
    "1 cup light or dark brown sugar": ("brown sugar", 220, "1 cup"),
    "1 cup flour (sifted and cooled)": ("all-purpose flour", 125, "1 cup"),
    "1/2 cup almonds, slivered": ("slivered almonds", 54, "1/2 cup"),
    "1 cup sugar, brown, packed": ("brown sugar", 220, "1 cup"),
    "50 g d'amandes en poudre": ("almond flour", 50, "50 g"),
    "2 cups lantern mix (coarse + fine), type 3 cups": (
        "lantern mix (coarse + fine), type 3 cups",
        260,
        "2 cups",
    ),
}


@pytest.mark.parametrize(("text", "expected"), CERTAIN.items())
def test_a_plain_line_is_read_exactly_and_without_doubt(text, expected):
    """Ingredient, exact grams and measure are those the line names, and nothing is in doubt."""
    reading = read_line(text, known_pantry().with_custom([MIX]))
    name, grams, measure = expected
    assert (reading.ingredient.name, reading.amount.measure) == (name, measure)
    assert reading.amount.grams == grams
    assert reading.uncertain is None


def test_eggs_and_yolks_are_two_parts_and_two_terms():
    """Each part keeps its own ingredient, for their water and fat differ."""
    amount = read_line("3 eggs + 1 egg + 2 yolks", known_pantry()).amount
    assert [(part.ingredient.name, part.grams) for part in amount.parts] == [
        ("egg", 200),
        ("egg yolk", 34),
    ]
    assert amount.terms == (
        Term(Fraction(3), "egg"),
        Term(Fraction(1), "egg"),
        Term(Fraction(2), "yolk"),
    )


def test_an_amount_in_several_measures_of_one_ingredient_is_one_part():
    """The terms are kept as written and the grams are summed."""
    amount = read_line("1 stick + 2 tbsp butter", known_pantry()).amount
    assert [(part.ingredient.name, part.grams) for part in amount.parts] == [
        ("unsalted butter", Fraction(1131, 8))
    ]
    assert amount.terms == (Term(Fraction(1), "stick"), Term(Fraction(2), "tbsp"))


def test_an_amount_to_taste_has_a_part_of_nothing_and_no_terms():
    """The ingredient stays in the recipe, at 0 g."""
    amount = read_line("salt to taste", known_pantry()).amount
    assert [(part.ingredient.name, part.grams) for part in amount.parts] == [("salt", 0)]
    assert (amount.terms, amount.measure) == ((), "none")


def test_nothing_of_an_ingredient_is_read_back_as_nothing():
    """ "none" is how an amount of nothing is written, and no doubt attaches to it."""
    reading = read_line("none salt", known_pantry())
    assert (reading.amount.grams, reading.uncertain) == (0, None)


def test_capitals_tell_the_tablespoon_from_the_teaspoon_and_nothing_else():
    """T is three times t; TBSP and tbsp are the same."""
    assert (
        read_line("1 T salt", known_pantry()).amount.grams
        == 3 * read_line("1 t salt", known_pantry()).amount.grams
    )
    assert (
        read_line("1 TBSP SALT", known_pantry()).amount
        == read_line("1 tbsp salt", known_pantry()).amount
    )
