"""A food that the pantry does not hold: by one letter, by the USDA's table, by its family, or not
known at all.

Never a silent guess: each comes with its doubt. A word that makes another food of a known one
(coconut flour, oat milk, vegan butter) is never dropped: what is left would hide an allergen, or
invent one. Which words are left over is found in `models.reading.line`.
"""

from functools import cache, lru_cache

from rapidfuzz.distance import OSA

from models.ingredient import Ingredient, Role
from models.pantry import Pantry, fold, known_pantry
from models.reading.doubts import Uncertain, quoted
from models.usda_foods import names_a_food, usda_food

SHORTEST_MISSPELT = 5
"""Letters of a name of which one may be wrong; in shorter ones another word is too near."""
LONGEST_NAME = 120
_EITHER = {"levure": "baking powder", "oatmeal": "rolled oats", "piment": "ground allspice"}
"""Names, folded, that mean two things, and the likelier in what is baked: judgement, no source."""
CUP_OF_ANYTHING = 120
"""Grams in a cup of what nobody knows: chopped, flaked or in pieces; judgement, no source."""

_FAMILIES: dict[Role, str] = {
    "flour": "flour mehl farine",
    "fat": "butter shortening margarine fat oil beurre huile fett",
    "sugar": "sugar zucker sucre sweetener",
    "syrup": "syrup sirup sirop molasse melasse",
    "liquid": "liquid flussigkeit liquide milk milch lait cream sahne creme yogurt yoghurt joghurt"
    " drink juice saft jus",
    "egg": "egg ei oeuf",
}
_FAMILY_OF = {word: role for role, words in _FAMILIES.items() for word in words.split()}

_AVERAGES: dict[Role, tuple[float, float, float, float]] = {
    # water, fat, sugars in percent and grams in a cup: the family's usual members in the pantry
    "flour": (11.5, 2.5, 1, 120),
    "fat": (10, 88, 0, 215),
    "sugar": (1, 0, 97, 190),
    "syrup": (24, 0, 68, 330),
    "liquid": (88, 3, 4, 242),
    "egg": (76, 10, 0.5, 243),
}


def unfamiliar_food(
    name: str, role: Role | None = None, like: Ingredient | None = None
) -> tuple[Ingredient, Uncertain | None]:
    """Return what stands for a food of that name, and the doubt if any; its family is `role`.

    One `like` a known food has its figures and not its allergens. Else it is a row of the USDA's
    table, else the average of its family, else an inclusion of unknown make-up.
    """
    legible = "".join(each if each.isprintable() else " " for each in name)
    name = " ".join(legible.split())[:LONGEST_NAME] or "unknown food"
    likelier = _EITHER.get(fold(name))
    if likelier is not None and role is None:
        known = known_pantry().find(likelier)
        assert known is not None
        said = f"{quoted(name)} may mean two things; {likelier} was read. Write the one you use."
        return known, Uncertain.of("nearest_food", said)
    in_table = usda_food(name)
    if in_table is not None and (role is None or in_table.ingredient.role == role):
        found = in_table.ingredient
        if in_table.is_plain:
            return found, None
        said = f"{quoted(name)} was read as {_row(found)}. "
        more = "Give an ingredient of your own to be exact."
        return found, Uncertain.of("nearest_food", said + more)
    family = role or family_of(name)
    if like is not None:
        said = f"{quoted(name)} was reckoned as {like.name}, its allergens left open. "
        more = "Describe it as an ingredient of your own to be exact."
        return _like(name, like), Uncertain.of("nearest_food", said + more)
    if family in _AVERAGES:
        water, fat, sugars, cup = _AVERAGES[family]
        said = f"{quoted(name)} is not known; it was reckoned as a usual {family}. "
        more = "Describe it as an ingredient of your own to be exact."
        return _made_up(name, family, water, fat, sugars, cup), Uncertain.of(
            "unknown_food", said + more
        )
    said = f"{quoted(name)} is not known; it was counted by weight, of unknown make-up. "
    more = "Describe it as an ingredient of your own to be exact."
    return _made_up(name, "inclusion", 0, 0, 0, CUP_OF_ANYTHING), Uncertain.of(
        "unknown_food", said + more
    )


def respelt(name: str, pantry: Pantry) -> tuple[Ingredient, Uncertain | None] | None:
    """Return the only ingredient whose name is one letter away, and the doubt; None for none."""
    folded = fold(name)
    if len(folded) < SHORTEST_MISSPELT or pantry.find(name) is not None:
        return None
    if all(map(names_a_food, folded.split())):
        return None  # another food, and spelt right: a poire is no poivre
    near = _one_letter_away(folded)
    found = pantry.find(near) if near else None
    if found is None:
        return None
    said = f"{quoted(name)} was read as {found.name}; correct it if that is not meant."
    return found, Uncertain.of("spelling", said)


@lru_cache(maxsize=4096)
def _one_letter_away(folded: str) -> str | None:
    """Return the known name one slip from `folded`, the first letter kept; None for none or two."""
    near = {
        known
        for known in _known_names()
        if known[0] == folded[0]
        and abs(len(known) - len(folded)) <= 1
        and OSA.distance(known, folded, score_cutoff=1) == 1
    }
    foods = {found.name for known in near if (found := known_pantry().find(known)) is not None}
    return min(near) if len(foods) == 1 else None


@cache
def _known_names() -> tuple[str, ...]:
    names = {fold(name) for one in known_pantry() for name in (one.name, *one.aliases)}
    return tuple(sorted(name for name in names if len(name) >= SHORTEST_MISSPELT - 1))


def family_of(name: str) -> Role | None:
    """Return the family that the last word of a name says, as English and German put it."""
    words = fold(name).split()
    for word in (words[-1], words[0]) if words else ():
        for ending, role in _FAMILY_OF.items():
            if word == ending or (len(ending) > 3 and word.endswith(ending)):
                return role
    return None


def _like(name: str, known: Ingredient) -> Ingredient:
    return known.model_copy(
        update={"name": name, "aliases": (), "allergens_us": None, "allergens_eu": None}
    )


def _made_up(
    name: str, role: Role, water: float, fat: float, sugars: float, cup: float | None
) -> Ingredient:
    return Ingredient(
        name=name,
        role=role,
        water_percent=water,
        fat_percent=fat,
        sugars_percent=sugars,
        grams_per_cup=cup,
        fat_kind="firm" if role == "fat" else None,
    )


def _row(found: Ingredient) -> str:
    return (found.composition_source or found.name).removeprefix("USDA SR28 (2016), ")
