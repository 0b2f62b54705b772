"""The words of recipe lines by what they do: units, packs, hedges, handling, and words that say
nothing of the amount. How they are put together is the business of `models.reading.quantities` and
`models.reading.naming`. Common practice, no source, except the figures that carry one.
"""

from fractions import Fraction


def _set(words: str) -> frozenset[str]:
    return frozenset(words.casefold().split())


# Units ------------------------------------------------------------------------------------------

PINCH_GRAMS = Fraction(2, 5)
"""Grams of a pinch or dash: about a sixteenth of a teaspoon of salt, at 6 g a teaspoon."""

_VAGUE_WORDS: dict[tuple[str, Fraction], str] = {
    ("g", Fraction(30)): "handful handfuls handvoll poignée poignées",
    ("g", Fraction(20)): "ball balls kugel kugeln boule boules",
    ("ml", Fraction(30)): "shot shots jigger jiggers schnapsglas",
    ("g", Fraction(15)): "knob knobs dollop dollops glug glugs klecks schluck schuss lump lumps",
    ("g", Fraction(5)): "splash splashes drizzle drizzles dab dabs spritzer filet trait traits",
    ("g", Fraction(2)): "fläschchen",
    ("tsp", Fraction(2)): "dessertspoon dessertspoons dessertspoonful dsp",
    ("ml", Fraction(200)): "glass glasses glas gläser verre verres becher bechers",
    ("ml", Fraction(125)): "pot pots",
    ("ml", Fraction(250)): "tasse tassen tasses mug mugs",
    ("ml", Fraction(350)): "bol bols",
}
"""Measures that nobody can check, at what a kitchen means by them; always with a doubt."""
OF_STRENGTH = _set(
    "cocoa solids solid cacao kakao kakaoanteil fett fettgehalt fat matière matières grasse grasses"
    " mg i tr acid acidity abv vol alcohol alc butterfat milkfat de of en minimum min"
)
"""After a percentage they say of what: 70% cocoa solids, 3,5 % Fett."""

VAGUE_UNITS = frozenset(word for words in _VAGUE_WORDS.values() for word in words.split())
VAGUE_ALONE = VAGUE_UNITS - _set(
    "ball balls kugel kugeln boule boules shot shots pot pots becher bechers glas glass glasses"
)
"""Those of them that mean one where no number stands before."""

_UNIT_WORDS: dict[tuple[str, Fraction], str] = {
    **_VAGUE_WORDS,
    ("cup", Fraction(1)): "cup cups cupful cupfuls c",
    ("cup", Fraction(2)): "pint pints pt pts",
    ("cup", Fraction(4)): "quart quarts qt qts",
    ("cup", Fraction(16)): "gallon gallons gal gals",
    ("cup", Fraction(1, 2)): "gill gills",
    ("tbsp", Fraction(1)): "tbsp tbsps tbs tb tbl tbls tblsp tblsps tablespoon tablespoons"
    " tablespoonful tablespoonfuls el essl esslöffel eßlöffel càs cas cs",
    (
        "tsp",
        Fraction(1),
    ): "tsp tsps ts teaspoon teaspoons teaspoonful teaspoonfuls tl teel teelöffel"
    " kaffeelöffel càc cac cc",
    ("fl_oz", Fraction(1)): "floz",
    ("ml", Fraction(1)): "ml mls milliliter milliliters millilitre millilitres",
    ("ml", Fraction(10)): "cl centiliter centiliters centilitre centilitres",
    ("ml", Fraction(100)): "dl deciliter deciliters decilitre decilitres",
    ("l", Fraction(1)): "l ltr ltrs lt liter liters litre litres",
    (
        "g",
        PINCH_GRAMS,
    ): "pinch pinches prise prisen msp messerspitze messerspitzen pincée pincées dash dashes"
    " smidgen smidgens grating gratings",
    ("g", Fraction(1)): "g gr gm gms gram grams gramm gramme grammes grs",
    ("kg", Fraction(1)): "kg kgs kilo kilos kilogram kilograms kilogramm kilogramme kilogrammes",
    ("g", Fraction(1, 20)): "drop drops tropfen goutte gouttes",  # of a twentieth of a millilitre
    ("oz", Fraction(1)): "oz ozs ounce ounces",
    ("lb", Fraction(1)): "lb lbs pound pounds",
    ("g", Fraction(500)): "pfund",
}
UNITS = {word: unit for unit, words in _UNIT_WORDS.items() for word in words.split()}
"""For each word its unit, and how many of that unit it stands for."""

PINCHES = frozenset(word for word, unit in UNITS.items() if unit[1] == PINCH_GRAMS)

FRENCH_HANDLES = _set("c cuillère cuillères cuillerée cuillerées cuil cuill")
FRENCH_SPOONS = {
    "soupe": "tbsp",
    "soupes": "tbsp",
    "s": "tbsp",
    "café": "tsp",
    "thé": "tsp",
    "c": "tsp",
}
"""The ends of "cuillère à soupe", "c. à café" and their abbreviations."""

PACKETS = _set(
    "packet packets package packages pkg pkgs pack packs envelope envelopes sachet sachets"
    " päckchen pckg pck päck packung packungen pkt p paket pakete tütchen tüte tüten"
    " beutel paquet paquets"
)
"""Names for one and the same paper packet."""
ALONE = _set(
    "päckchen pckg pck päck tütchen sachet envelope teaspoon tablespoon cup teelöffel"
    " esslöffel tl el"
)
"""Packets and spoons that mean one where no number stands before."""

PACKS = PACKETS | _set(
    "stick sticks can cans tin tins jar jars box boxes bag bags block blocks bar bars tub tubs"
    " carton cartons bottle bottles container containers square squares sheet sheets pat pats"
    " cube cubes würfel dose dosen boîte boîtes brique briques tablette tablettes"
)

# Around a number ----------------------------------------------------------------------------------

HEDGES = _set(
    "about approx approximately around roughly circa ca nearly almost barely scant scanty heaping"
    " heaped rounded generous good gehäuft gehäufte gehäufter gehäuften bombée bombées bonne"
    " bonnes gute guter knapp knappe knapper gut reichlich"
    " belle belles just under over ~ ≈ ± etwa ungefähr environ"
)
SAYING_NOTHING = _set(
    "gestr gestrichen gestrichene gestrichener rase rases ras level levelled leveled flat full us"
)
PIECES = _set("stück stk st pièce pièces pce pces piece pieces pc pcs unité unités")
"""Between a count and what is counted they say nothing: 2 Stück Eier, 1 pièce œuf."""
TIMES = _set("x × * ✕ ⨯")
NEXT_TO_NOTHING = _set(
    "some few little bit bits touch hint nip sprinkle sprinkling"
    " etwas einige paar bisschen peu quelques"
)
"""Of the vague measures those that no dough hangs on."""
JOINTS = _set("+ plus and & und et")
CHOICES = _set("or / = | soit oder ou bzw beziehungsweise alternativ alternative remplaçable")
"""What stands between two ways to say one amount, and between two ingredients to choose from."""

EACH = _set("each apiece pièce")
NO_AMOUNT_AFTER = _set("at to into type")
HEAT_TIME_LENGTH = _set(
    "min mins minute minutes h hr hrs hour hours sec secs second seconds day days week weeks"
    " degree degrees f fahrenheit celsius inch inches in cm mm"
)
VAGUE = _set(
    "bit bits few some several couple sprinkle sprinkling touch hint nip little"
    " etwas einige paar bisschen peu"
    " spoonful spoonfuls spoon spoons scoop scoops"
)

# Around a name ------------------------------------------------------------------------------------

HANDLING = _set(
    "in softened soft melted cooled cold cool chilled warm warmed hot boiling lukewarm tepid frozen"
    " thawed room temperature temp at chopped diced sliced cubed minced grated shredded crushed"
    " crumbled toasted beaten whisked separated divided sifted unsifted packed ground mashed peeled"
    " cored pitted rinsed drained strained scalded dissolved browned halved quartered cut into"
    " pieces piece cubes chunks slices finely coarsely roughly thinly lightly firmly tightly"
    " well freshly gently slightly very squeezed cracked spooned leveled levelled swept shaken"
    " stirred measured zested juiced leveled off aerated spooned room-temperature overripe melted"
    " browned blanched skinned skin seeded deseeded trimmed torn flaked slivered ground"
    # German and French
    " weich weiche weicher weiches kalt kalte kalter kaltes warm warme warmer warmes lauwarm"
    " lauwarme"
    " lauwarmes zimmerwarm zimmerwarme flüssig flüssige flüssiger geschmolzen geschmolzene gesiebt"
    " gesiebtes gehackt gehackte gehackter gerieben geriebene geriebener gemahlen gemahlene"
    " fein feine"
    " feiner feines grob grobe frisch frische frischer geschält geschälte abgerieben abgeriebene"
    " getrennt verquirlt verquirltes gehäuft gehäufter gestrichen gestrichene gestrichener"
    " zimmertemperatur raumtemperatur stückchen stücke flöckchen würfeln"
    " mou mous molle fondu fondue fondus ramolli ramollie pommade froid froide froids tiède tièdes"
    " légèrement leicht glatt glattes tiédi tiédie très bien peu chaud chaude tamisé tamisée"
    " tamisés haché hachée hachés râpé râpée râpés coupé coupée coupés"
    " dés morceaux battu battus fouetté température ambiante frais fraîche moulu moulue"
    " moulus bombée"
    " bombées rase rases à en entiers entières refroidi refroidie refroidis mondées mondés"
    " concassées"
    " concassés non traitée traité émondées effilées pelé pelée épluchée zerlassen zerlassene"
    " stücken"
    " halves halved cristal alimentaire stark starker liquide davon zerdrückt zerdrückte ungesüßt"
    " zart zarte nicht weniger gewaschen abgetropft handwarm handwarme"
    " shelled granules split scraped seeds dry plumped lightly-beaten lengthwise crosswise torn"
    " brand"
)
AFTERWARDS = _set("to until till then if so it they is are has been you your by")
"""Words of what is done later or how, behind a name: softened to room temperature."""

"""Done to an ingredient before or after it is weighed out; it changes no weight."""

SILENT = _set(
    "of the a an and then de d' d’ l' l’ du des von unbleached organic pure ripe quality best such"
    " as your favorite favourite free-range free range cage-free pasture-raised farm farm-fresh bio"
    " bio-qualität aus der die das den dem vom zum zur mit le la les un une ein eine einer"
    " eines einen"
    " etwas gelöst aufgelöst eingeweicht gequollen man nehme nimm nimmt pale et plain und"
    " mélangés mélangées macérés macérées ungesüßter ungesüßtes"
    " je jeweils ganze ganzer ganzes ganzen süsse gestossene gestossen super super-fine roasted"
    " natural raw refined unrefined virgin geputzt geputzte bester gewürfelter unbehandelt"
    " unbehandelte unbehandelter unbehandelten unwaxed solid solid-pack nach geschmack"
    " bien grösse gr m ferme plein air élevés élevées label rouge qualité calibre"
    " frz deutsche deutscher"
    " dunkel dunkle dunkler dunkles hell helle heller helles mini extra-fine extrafein entier"
    " kochend kochende kochendes heiß heiße heißes heisses clarifié rases tendre tendres sec secs"
    " sèche sèches fein gemahlenes gut guter gute gutes abgezogen abgezogene gehäutet gehäutete"
    " blanchiert blanchierte geröstet geröstete gestiftelt gehobelt gehobelte pâtissier pâtissière"
    " hachées torréfiées torréfiés grillées grillés effilés décortiquées décortiqués épluchées"
    " geviertelt halbiert gewürfelt gewürfelte gebräunt gebräunte gekühlt gekühlte zerkleinert"
    " zerstoßen zerstoßene zerbröselt temperiert eiskalt eiskalte eiskaltes"
    " regular plain-style store-bought homemade good-quality high-quality"
    " fine finest whole-milk scant full-size level"
)
ROASTED = _set(
    "toasted roasted geröstete gerösteter geröstetes blanched geschälte grillé grillée"
    " grillés grillées torréfiés torréfiées"
)
"""Done to nuts and seeds, whose names they may stand within."""
NAMELESS = HANDLING | SILENT | PACKS
"""Words of which none can name an ingredient."""

FRESH = "fresh"
OF = _set("of from")
SIZES = _set(
    "lg sm med small medium large extra jumbo big xl moyen moyens moyenne petit petits petite"
    " gros grosse grosses petites großer kleiner"
    " mittlerer mittelgroßer mittelgroße"
    " klein"
    " kleine kleines große grosses großes mittlere mittleres mittelgroße"
)
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
UNCOUNTED = _set("for plus extra more für pour zum sowie")
"""These open what is said beside the amount: for dusting, plus extra, more for the board."""

HEAD_ENDS = _set(
    "or and & + with without for from in into plus not to at oder und mit ohne für ou et"
    " avec sans pour sur sinon"
)
"""Words that end the name proper: butter | for the pan, milk | or water."""

DRIED = _set("dried getrocknet getrocknete getrockneter getrocknetes seche sechee seches sechees")
CHANGES_THE_FOOD = DRIED | _set(
    # plants and animals that flours, milks, butters, oils, eggs and sugars are made of
    "coconut kokos coco almond mandel amande cashew hazelnut haselnuss noisette walnut"
    " walnuss pecan pistachio pistazien macadamia peanut erdnuss cacahuete arachide nut nuss"
    " noix soy soya soja oat hafer avoine rice reis riz hemp hanf pea erbsen lupin lupine"
    " lupinen quinoa teff amaranth millet hirse sorghum chickpea kichererbsen cassava tapioca"
    " potato kartoffel corn mais rye roggen seigle barley gersten orge buckwheat buchweizen"
    " sarrasin spelt dinkel einkorn emmer kamut tigernut chestnut kastanien banana apple"
    " pumpkin sunflower sesame flax linseed chia sheep goat cocoa cacao carob chocolate maple"
    " date palm cricket"
    # without what the name says
    " vegan vegane veganer veganes vegetal vegetale plant plantbased pflanzliche pflanzlicher"
    " dairyfree nondairy milkfree nutfree soyfree eggfree eggless glutenfree glutenfreies"
    " glutenfreie gf keto"
    " paleo imitation artificial substitute replacer replacement alternative ersatz mock faux"
    # another thing made of it
    " extract essence aroma flavor flavoring flavour flavouring arome syrup sirup sirop sauce"
    " spread powder pulver poudre paste oil butter milk flour cream cheese bread chips mix"
    " blend candied crystallized liqueur juice water bean nut seed crumb cookie cracker cake"
    " biscuit brittle nib topping filling dressing beer wine"
)
"""Words beside a known name, as they are folded, that make another food of it: what is left would
hide an allergen, or invent one."""

MAKES_ANOTHER = _set(
    "condensed evaporated powdered clarified malted smoked dried candied cultured sweetened"
    " gesalzen gesalzene salé salée sucré sucrée gesüsst unsweetened salted unsalted"
    " roasted fermented enriched flavored flavoured preserved pickled"
)
"""Participles that say what a food is, and not what is done to it before it goes in."""

ANOTHER_CHOSEN = _set(
    "substitute substituted instead replace replaced swap sub use statt stattdessen ersetzen"
    " ersetzt remplacer remplace remplacez verwenden nehmen"
)
"""In an aside they say that something else may be taken."""

FREE_FROM = _set(
    "vegan vegane veganer veganes dairyfree nondairy milkfree nutfree soyfree eggfree eggless"
    " glutenfree gf plantbased"
)
"""Words among these that leave the figures of a food as they are, and its allergens open."""

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
