"""Every other food: the USDA's table of five thousand and more, searched by the words of a name.

Behind the pantry, which is held entry by entry. What is found here has the composition and the cup
of its row, a role by its group, and the allergens that its words name; where the words leave that
open (a cake, a sauce) they are not settled, and the answer says so. The table is
`models.food_data`, in the public domain.
"""

import csv
import gzip
import io
import re
from collections import defaultdict
from functools import cache, lru_cache
from importlib.resources import files
from typing import NamedTuple

from models.food_names import english_name
from models.ingredient import FatKind, Ingredient, Role
from models.pantry import fold

SOURCE = "USDA SR28 (2016), NDB {ndb} {description}"

MOST_OTHER_WORDS = 7
"""Words of a row that the name does not have; with more it is another food."""

_PLAIN_WORDS = (
    "raw fluid fresh dried dry whole plain all type commercial variety varietie includes with"
    " without added salt and or from unprepared regular uncooked unsweetened sweetened"
    " enriched unenriched in of the food usda commodity not specified as to sulfured oil seed"
    " spice nut"
)
_PLAIN = frozenset(_PLAIN_WORDS.split())
"""Words of a row that make it no other food than a plain name means."""

_ANOTHER_FORM = frozenset(
    [
        "flour",
        "oil",
        "butter",
        "juice",
        "sauce",
        "powder",
        "bread",
        "soup",
        "cookie",
        "candy",
        "candie",
        "syrup",
        "drink",
        "pudding",
    ]
)
"""Words of a row that make another thing of a food whose name lacks them."""

_SETTLED_GROUPS = frozenset(
    {
        "Beef Products",
        "Fruits and Fruit Juices",
        "Lamb, Veal, and Game Products",
        "Nut and Seed Products",
        "Pork Products",
        "Poultry Products",
        "Spices and Herbs",
        "Vegetables and Vegetable Products",
    }
)
"""Groups whose foods hold no allergen but those that their words name."""

_ALLERGENS: tuple[tuple[str, str, str], ...] = (
    (r"almond|cashew|pecan|pistachio|macadamia|hazelnut|filbert|brazilnut|pine nut|pignoli"
     r"|hickory|beechnut|butternut, dried|(?<!water )(?<!wal)nuts,|walnut", "tree nuts", "nuts"),
    (r"peanut", "peanuts", "peanuts"),
    (r"\bsoy|tofu|tempeh|miso\b|edamame|natto", "soybeans", "soybeans"),
    (r"sesame|tahini", "sesame", "sesame seeds"),
    (r"\bmilk\b(?!fish)|cheese|\bbutter\b(?!nut)|yogurt|whey|\bcream\b(?! of tartar)|casein"
     r"|ice cream|custard", "milk", "milk"),
    (r"\begg(?!plant)", "eggs", "eggs"),
    (r"wheat(?!grass)|semolina|durum|bulgur|couscous|spelt|macaroni|spaghetti|seitan", "wheat",
     "cereals containing gluten"),
)  # fmt: skip
_GLUTEN_IN_EU = r"\brye\b|barley|\boats?\b|oatmeal|malt(?!ose|odextrin|itol)|triticale|kamut"


class Row(NamedTuple):
    """One food of the table."""

    ndb: str
    group: str
    description: str
    water: float
    fat: float
    sugars: float
    cup: float | None
    piece: float | None


class UsdaFood(NamedTuple):
    """A food of the table under the name it was asked for by.

    `is_plain` where nothing was left over: the row is no other food than the name means.
    """

    ingredient: Ingredient
    is_plain: bool


class _Table(NamedTuple):
    rows: tuple[Row, ...]
    words: tuple[frozenset[str], ...]
    heads: tuple[frozenset[str], ...]
    """The words before the first comma, and those of a group that the release puts there."""
    rows_with: dict[str, tuple[int, ...]]


@lru_cache(maxsize=4096)
def usda_food(name: str) -> UsdaFood | None:
    """Return the food whose row has every word of `name` and least besides; None for none.

    A name in German or French is looked up by its English one. The name of the ingredient is
    `name` as it was written.
    """
    folded = fold(name)
    found = _find(folded)
    if found is None:
        english = english_name(folded)
        found = None if english is None else _find(fold(english))
        return UsdaFood(_ingredient(name, found[0]), is_plain=True) if found else None
    return UsdaFood(_ingredient(name, found[0]), is_plain=found[1])


@lru_cache(maxsize=8192)
def names_a_food(word: str) -> bool:
    """Tell whether some row of the table is named by `word`, as it is folded."""
    if word in _PLAIN:
        return False
    if english_name(word) is not None:
        return True
    return any(word in _table().heads[at] for at in _table().rows_with.get(word, ()))


@lru_cache(maxsize=4096)
def _find(folded: str) -> tuple[Row, bool] | None:
    words = frozenset(folded.split())
    if not words:
        return None
    table = _table()
    candidates = set(table.rows_with.get(min(words, key=_rarity), ()))
    for word in words:
        candidates &= set(table.rows_with.get(word, ()))
    ranked = [
        (
            len(table.words[at] - words - _PLAIN)
            + MOST_OTHER_WORDS * bool((table.words[at] - words) & _ANOTHER_FORM),
            len(table.heads[at] - words - _PLAIN),
            len(table.words[at]),
            at,
        )
        for at in candidates
        if words & table.heads[at]
    ]
    if not ranked:
        return None
    others, left_of_head, _, at = min(ranked)
    plain = not others and not left_of_head
    return (table.rows[at], plain) if others <= MOST_OTHER_WORDS else None


def _rarity(word: str) -> int:
    return len(_table().rows_with.get(word, ()))


@cache
def _table() -> _Table:
    packed = (files("models") / "food_data" / "usda_sr28.csv.gz").read_bytes()
    lines = csv.DictReader(io.StringIO(gzip.decompress(packed).decode("utf-8")))
    rows = tuple(
        Row(
            line["ndb"],
            line["group"],
            line["description"],
            float(line["water"]),
            float(line["fat"]),
            float(line["sugars"] or 0),
            float(line["cup"]) if line["cup"] else None,
            float(line["piece"]) if line["piece"] else None,
        )
        for line in lines
    )
    words = tuple(frozenset(fold(row.description).split()) for row in rows)
    heads = tuple(frozenset(fold(_head(row.description)).split()) for row in rows)
    rows_with: dict[str, list[int]] = defaultdict(list)
    for at, held in enumerate(words):
        for word in held:
            rows_with[word].append(at)
    return _Table(rows, words, heads, {word: tuple(ats) for word, ats in rows_with.items()})


def _head(description: str) -> str:
    """Return the part that names the food: "Nuts, almonds" and "Spices, anise seed" have two."""
    parts = description.split(",")
    group = parts[0].casefold() in _GROUP_HEADS
    return " ".join(parts[: 2 if group else 1])


_GROUP_HEADS_WORDS = (
    "nuts seeds spices oil candies beverages cereals cheese cream milk snacks cookies fish"
    " mollusks crustaceans alcoholic beverage syrups sugars leavening agents sauce puddings"
    " desserts sweeteners squash peppers lettuce cabbage beans"
)
_GROUP_HEADS = frozenset(_GROUP_HEADS_WORDS.split()) | {"alcoholic beverage", "leavening agents"}


def _ingredient(name: str, row: Row) -> Ingredient:
    role = _role(row)
    us, eu = _allergens(row)
    by_teaspoon = role in ("leavener", "salt", "flavour")
    total = row.water + row.fat + row.sugars
    return Ingredient(
        name=name[:200],
        role=role,
        water_percent=min(row.water, 100.0),
        fat_percent=min(row.fat, 100.0),
        sugars_percent=row.sugars if total <= 100 else max(0.0, 100 - row.water - row.fat),
        grams_per_cup=row.cup if not by_teaspoon else None,
        grams_per_teaspoon=row.cup / 48 if row.cup and by_teaspoon else None,
        unit_name="piece" if row.piece else None,
        grams_per_unit=row.piece,
        fat_kind=_fat_kind(row) if role == "fat" else None,
        allergens_us=us,
        allergens_eu=eu,
        composition_source=SOURCE.format(ndb=row.ndb, description=row.description)[:500],
        density_source=f"USDA SR28, NDB {row.ndb}" if row.cup else None,
    )


def _role(row: Row) -> Role:
    said = row.description.casefold()
    if row.group == "Fats and Oils":
        return "fat" if row.fat >= 50 else "inclusion"
    if row.group == "Spices and Herbs":
        return "flavour"
    if row.group == "Beverages":
        return "liquid" if row.water > 50 else "inclusion"
    if row.group == "Dairy and Egg Products":
        if re.match(r"egg", said):
            return "egg"
        return "fat" if row.fat > 75 else "liquid" if row.water > 50 else "inclusion"
    return next((role for words, role in _ROLES if re.search(words, said)), "inclusion")


_ROLES: tuple[tuple[str, Role], ...] = (
    (r"\bflour\b|\bstarch\b", "flour"),
    (r"^syrups?\b|^honey|^molasses", "syrup"),
    (r"^sugars?\b", "sugar"),
    (r"\bjuice\b|\bmilk\b", "liquid"),
)


def _fat_kind(row: Row) -> FatKind:
    said = row.description.casefold()
    if "butter" in said and "cocoa" not in said:
        return "butter"
    return "oil" if said.startswith("oil") or "fish oil" in said else "firm"


def _allergens(row: Row) -> tuple[tuple[str, ...] | None, tuple[str, ...] | None]:
    """Return what the words name; nothing settled where a group's foods may hold more."""
    if row.group not in _SETTLED_GROUPS:
        return None, None
    said = f"{row.description.casefold()},"
    if row.description.startswith(("Nuts, coconut", "Nuts, chestnut", "Nuts, ginkgo")):
        return (), ()
    us = [in_us for words, in_us, _ in _ALLERGENS if re.search(words, said)]
    eu = [in_eu for words, _, in_eu in _ALLERGENS if re.search(words, said)]
    if re.search(_GLUTEN_IN_EU, said):
        eu.append("cereals containing gluten")
    return tuple(us), tuple(dict.fromkeys(eu))
