"""Cautions and allergens that a dough calls for, each with its source.

They inform; they do not replace a label, a local food code or a licensed practitioner.
"""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from models.formula import Formula
from models.ingredient import Ingredient
from models.ratios import ratio_of
from models.value import Value

US_ALLERGENS = (
    "milk",
    "eggs",
    "fish",
    "crustacean shellfish",
    "tree nuts",
    "peanuts",
    "wheat",
    "soybeans",
    "sesame",
)
"""The major food allergens of US law (FALCPA and the FASTER Act)."""

EU_ALLERGENS = (
    "cereals containing gluten",
    "crustaceans",
    "eggs",
    "fish",
    "peanuts",
    "soybeans",
    "milk",
    "nuts",
    "celery",
    "mustard",
    "sesame seeds",
    "sulphur dioxide and sulphites",
    "lupin",
    "molluscs",
)
"""The substances of Annex II to Regulation (EU) No 1169/2011."""

MUCH_SODA_PERCENT = 1.84
"""Half a teaspoon (2.3 g) of soda to a cup (125 g) of flour: the top of the trade's usual range."""


class Allergens(Value):
    """Allergen classes in the dough, in the order of each law's list.

    `maybe` are ingredients that may hold any of them, and lines that could not be read or offer a
    choice: what is in them is not settled here.
    """

    us: tuple[str, ...]
    eu: tuple[str, ...]
    maybe: tuple[str, ...] = ()


class Caution(Value):
    """Something that can hurt someone, and where the warning comes from."""

    code: str
    text: str
    source: str


class _Rule(NamedTuple):
    applies: Callable[[Formula], bool]
    caution: Caution


def allergens_of(formula: Formula, unsettled: Iterable[str] = ()) -> Allergens:
    """Return the allergen classes of all ingredients; `unsettled` lines may hold any."""
    us: set[str] = set()
    eu: set[str] = set()
    ingredients = _ingredients(formula)
    for ingredient in ingredients:
        us.update(ingredient.allergens_us or ())
        eu.update(ingredient.allergens_eu or ())
    maybe = [one.name for one in ingredients if not _has_settled_allergens(one)]
    return Allergens(
        us=_ordered(us, US_ALLERGENS),
        eu=_ordered(eu, EU_ALLERGENS),
        maybe=tuple(dict.fromkeys([*maybe, *unsettled])),
    )


def cautions_for(formula: Formula) -> tuple[Caution, ...]:
    """Return the cautions that the dough calls for, the gravest first."""
    general = [rule.caution for rule in _RULES if rule.applies(formula)]
    return (*general, *_label_cautions(_ingredients(formula)), _AVERAGES)


def added_allergen_cautions(before: Formula, after: Formula) -> tuple[Caution, ...]:
    """Return a caution where a change brought an allergen that was not there before."""
    old, new = allergens_of(before), allergens_of(after)
    brought = [a for a in new.us if a not in old.us]
    brought += [a for a in new.eu if a not in old.eu and a not in brought]
    if not brought:
        return ()
    text = f"This change brings allergens that the recipe did not have: {', '.join(brought)}."
    return (
        Caution(code="new_allergen", text=text, source="the ingredients' own allergen classes"),
    )


def _ingredients(formula: Formula) -> list[Ingredient]:
    parts = (part for line in formula.lines for part in line.amount.parts)
    return list({part.ingredient.name: part.ingredient for part in parts if part.grams}.values())


def _ordered(found: set[str], order: Iterable[str]) -> tuple[str, ...]:
    known = tuple(name for name in order if name in found)
    return (*known, *sorted(found - set(known)))  # a caller's own classes come last


def _label_cautions(ingredients: Iterable[Ingredient]) -> Iterable[Caution]:
    for ingredient in ingredients:
        if not _has_settled_allergens(ingredient):
            yield Caution(
                code="allergens_unknown",
                text=f"The allergens of {ingredient.name} are not known here; read its label.",
                source="no allergen classes were given for it",
            )
        if ingredient.allergen_note:
            yield Caution(
                code="check_label",
                text=f"{ingredient.name}: {ingredient.allergen_note}",
                source="Food allergen labelling: 21 U.S.C. 343(w); Regulation (EU) No 1169/2011",
            )
        if ingredient.role == "leavener" and ingredient.leavening is None:
            yield Caution(
                code="uncounted_leavener",
                text=f"{ingredient.name} is counted as raising nothing; say what its leavening is.",
                source="no leavening was given for it",
            )


def _has_settled_allergens(ingredient: Ingredient) -> bool:
    return ingredient.allergens_us is not None and ingredient.allergens_eu is not None


def _has_role(role: str) -> Callable[[Formula], bool]:
    return lambda formula: any(i.role == role for i in _ingredients(formula))


def _has_leavening(kind: str) -> Callable[[Formula], bool]:
    return lambda formula: any(i.leavening == kind for i in _ingredients(formula))


def _has_named(*words: str) -> Callable[[Formula], bool]:
    return lambda formula: any(
        word in i.name.casefold() for i in _ingredients(formula) for word in words
    )


def _has_much_soda(formula: Formula) -> bool:
    level = ratio_of("soda_equivalent_percent", formula.masses)
    return level is not None and level > MUCH_SODA_PERCENT


_RULES = (
    _Rule(
        _has_role("flour"),
        Caution(
            code="raw_flour",
            text="Do not taste or play with raw dough: flour is not treated to kill germs, and "
            "heating it at home is no proven cure.",
            source="US CDC, Say No to Raw Dough; US FDA advice on raw flour",
        ),
    ),
    _Rule(
        _has_role("egg"),
        Caution(
            code="raw_egg",
            text="Raw egg can carry Salmonella: chill the dough at 4 °C (40 °F) or below and bake "
            "it through (71 °C, 160 °F).",
            source="foodsafety.gov, safe minimum internal temperatures",
        ),
    ),
    _Rule(
        _has_leavening("ammonia"),
        Caution(
            code="bakers_ammonia",
            text="Baker's ammonia suits only thin pieces baked dry (under 5 % moisture); its fumes "
            "sting, so air the room. It raises acrylamide; bake no longer than needed.",
            source="LibreTexts, Chemistry of Cooking 5.7; Amrein et al. 2004, J. Agric. Food Chem. "
            "52:4282",
        ),
    ),
    _Rule(
        _has_named("honey"),
        Caution(
            code="honey_infants",
            text="Nothing with honey, baked or not, for children under 12 months: it can cause "
            "infant botulism.",
            source="Institut national de santé publique du Québec",
        ),
    ),
    _Rule(
        _has_much_soda,
        Caution(
            code="much_soda",
            text="This is more leavening than the trade's usual half teaspoon of soda to a cup of "
            "flour: what no acid neutralises tastes soapy, browns dark and makes the dough spread.",
            source="common practice, no source; threshold 1.84 % of the flour",
        ),
    ),
    _Rule(
        _has_named("cinnamon"),
        Caution(
            code="coumarin",
            text="Cassia cinnamon carries coumarin; the EU allows 50 mg/kg in traditional and "
            "seasonal bakery wares, 15 mg/kg in other fine ones.",
            source="Regulation (EC) No 1334/2008, Annex III",
        ),
    ),
    _Rule(
        _has_leavening("yeast"),
        Caution(
            code="yeast_not_counted",
            text="Yeast raises a dough by time and warmth, so it counts as nothing among the "
            "leaveners here; shape a yeasted dough by trial.",
            source="common practice, no source",
        ),
    ),
    _Rule(
        _has_leavening("potash"),
        Caution(
            code="potash_needs_acid",
            text="Potash raises only with an acid (honey, molasses, a long rest) and is caustic "
            "while dry: keep it off skin and out of reach.",
            source="molar masses of K2CO3; common practice, no source",
        ),
    ),
)

_AVERAGES = Caution(
    code="averages",
    text="Compositions are averages and brands differ: this is no medical or allergy advice, and "
    "your local food code and a licensed practitioner come first.",
    source="USDA National Nutrient Database for Standard Reference, release 28",
)
