"""The words of recipe lines by what they do: units, packs, hedges, handling, and words that say
nothing of the amount. How they are put together is the business of `models.reading.quantities` and
`models.reading.naming`. Common practice, no source, except the figures that carry one.
"""

from fractions import Fraction


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


# Units ------------------------------------------------------------------------------------------

PINCH_GRAMS = Fraction(2, 5)
"""Grams of a pinch or dash: about a sixteenth of a teaspoon of salt, at 6 g a teaspoon."""

_UNIT_WORDS: dict[tuple[str, Fraction], str] = {
    ("cup", Fraction(1)): "cup cups cupful cupfuls c",
    ("cup", Fraction(2)): "pint pints pt pts",
    ("cup", Fraction(4)): "quart quarts qt qts",
    ("cup", Fraction(16)): "gallon gallons gal gals",
    ("tbsp", Fraction(1)): "tbsp tbsps tbs tb tbl tbls tblsp tblsps tablespoon tablespoons"
    " tablespoonful tablespoonfuls el esslöffel càs",
    ("tsp", Fraction(1)): "tsp tsps teaspoon teaspoons teaspoonful teaspoonfuls tl teelöffel càc",
    ("fl_oz", Fraction(1)): "floz",
    ("ml", Fraction(1)): "ml mls milliliter milliliters millilitre millilitres cc",
    ("ml", Fraction(10)): "cl centiliter centiliters centilitre centilitres",
    ("ml", Fraction(100)): "dl deciliter deciliters decilitre decilitres",
    ("l", Fraction(1)): "l ltr ltrs liter liters litre litres",
    ("g", PINCH_GRAMS): "pinch pinches prise prisen pincée pincées dash dashes",
    ("g", Fraction(1)): "g gr gm gms gram grams gramm gramme grammes",
    ("kg", Fraction(1)): "kg kgs kilo kilos kilogram kilograms kilogramm kilogramme kilogrammes",
    ("oz", Fraction(1)): "oz ozs ounce ounces",
    ("lb", Fraction(1)): "lb lbs pound pounds",
}
UNITS = {word: unit for unit, words in _UNIT_WORDS.items() for word in words.split()}
"""For each word its unit, and how many of that unit it stands for."""

PINCHES = frozenset(word for word, unit in UNITS.items() if unit[1] == PINCH_GRAMS)

FRENCH_HANDLES = _set("c cuillère cuillères cuil cuill")
FRENCH_SPOONS = {"soupe": "tbsp", "s": "tbsp", "café": "tsp", "thé": "tsp", "c": "tsp"}
"""The ends of "cuillère à soupe", "c. à café" and their abbreviations."""

PACKETS = _set(
    "packet packets package packages pkg pkgs pack packs envelope envelopes sachet sachets"
)
"""Names for one and the same paper packet."""

PACKS = PACKETS | _set(
    "stick sticks can cans tin tins jar jars box boxes bag bags block blocks bar bars tub tubs"
    " carton cartons bottle bottles container containers square squares sheet sheets pat pats"
    " cube cubes päckchen"
)

# Around a number ----------------------------------------------------------------------------------

HEDGES = _set(
    "about approx approximately around roughly circa ca nearly almost barely scant scanty heaping"
    " heaped rounded generous good just under over ~ ≈ ± etwa environ"
)
SAYING_NOTHING = _set("level levelled leveled flat full us")
TIMES = _set("x × * ✕ ⨯")
JOINTS = _set("+ plus and &")
CHOICES = _set("or / = |")
"""What stands between two ways to say one amount, and between two ingredients to choose from."""

EACH = _set("each apiece")
NO_AMOUNT_AFTER = _set("at to into type")
HEAT_TIME_LENGTH = _set(
    "min mins minute minutes h hr hrs hour hours sec secs second seconds day days week weeks"
    " degree degrees f fahrenheit celsius inch inches in cm mm"
)
VAGUE = _set(
    "handful handfuls knob knobs splash splashes drizzle glug glugs drop drops dab dabs dollop"
    " dollops bit bits few some several couple sprinkle sprinkling touch hint nip smidgen little"
    " lump lumps spoonful spoonfuls spoon spoons scoop scoops"
)

# Around a name ------------------------------------------------------------------------------------

HANDLING = _set(
    "in softened soft melted cooled cold cool chilled warm warmed hot boiling lukewarm tepid frozen"
    " thawed room temperature temp at chopped diced sliced cubed minced grated shredded crushed"
    " crumbled toasted beaten whisked separated divided sifted unsifted packed ground mashed peeled"
    " cored pitted rinsed drained strained scalded dissolved browned halved quartered cut into"
    " pieces piece cubes chunks slices finely coarsely roughly thinly lightly firmly tightly"
    " well freshly gently slightly very squeezed cracked spooned leveled levelled swept shaken"
    " stirred measured zested juiced"
)
"""Done to an ingredient before or after it is weighed out; it changes no weight."""

SILENT = _set(
    "of the a an and then de d' d’ l' l’ du des von unbleached organic pure ripe quality best such"
    " as your favorite favourite"
)
NAMELESS = HANDLING | SILENT | PACKS
"""Words of which none can name an ingredient."""

FRESH = "fresh"
OF = _set("of from")
SIZES = _set("small medium large extra jumbo big xl")
TO_TASTE = (
    "to taste",
    "as needed",
    "as required",
    "as desired",
    "if needed",
    "if desired",
    "q s",
    "nach geschmack",
    "au goût",
)
UNCOUNTED = _set("for plus extra more")
"""These open what is said beside the amount: for dusting, plus extra, more for the board."""

HEAD_ENDS = _set("or and & + with without for from in into plus not to at")
"""Words that end the name proper: butter | for the pan, milk | or water."""

# Fillings -----------------------------------------------------------------------------------------

FILLED_BEFORE = _set(
    "sifted ground chopped sliced diced grated shredded crushed crumbled cubed minced packed"
)
"""Before the name these say how the cup was filled: sifted flour is lighter than flour, sifted."""

FILLED_ALWAYS = _set("unpacked loose loosely scooped dipped")
"""These say so wherever they stand."""

FIRMLY = _set("firmly tightly lightly well")
"""Go with "packed"."""

FILLED_ROLES = _set("flour sugar cocoa fat inclusion")

CUP_GRAMS_FILLED = {
    # USDA Home Economics Research Report 41 (1977): flour sifted and spooned
    ("sifted", "all-purpose flour"): 116,
    ("sifted", "bread flour"): 117,
    ("sifted", "cake flour"): 99,
    # USDA SR28 (2016): 'cup, sifted', 'cup unpacked'
    ("sifted", "powdered sugar"): 100,
    ("unpacked", "brown sugar"): 145,
    ("loosely", "brown sugar"): 145,
    ("loose", "brown sugar"): 145,
    # dip-and-sweep mean of a published kitchen test, 5 ounces
    ("dipped", "all-purpose flour"): 142,
    ("scooped", "all-purpose flour"): 142,
}
"""Grams in a US cup by the word for its filling, where one is published."""
