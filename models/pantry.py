"""The pantry: every ingredient that is known, found by any of its names, with near misses named.

The table itself is `models/ingredient_data/*.toml`, one file a family, each figure with its source.
"""

import tomllib
import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache
from importlib.resources import files

from rapidfuzz import fuzz, process

from models.ingredient import Ingredient


class Pantry:
    """Ingredients by name and alias, folded so that case, accents and plurals do not matter."""

    def __init__(self, ingredients: Iterable[Ingredient], behind: "Pantry | None" = None) -> None:
        """Lay out `ingredients` in front of the pantry `behind`.

        A proper name wins over another ingredient's alias; of two equal names the first counts.
        """
        self._ingredients = tuple(ingredients)
        self._behind = behind
        self._by_name: dict[str, Ingredient] = {}
        for ingredient in self._ingredients:
            self._by_name.setdefault(fold(ingredient.name), ingredient)
        for ingredient in self._ingredients:
            for alias in ingredient.aliases:
                self._by_name.setdefault(fold(alias), ingredient)

    def __iter__(self) -> Iterator[Ingredient]:
        """Walk the ingredients, those in front first, in the order of the table."""
        yield from self._ingredients
        if self._behind is not None:
            yield from self._behind

    def find(self, name: str) -> Ingredient | None:
        """Return the ingredient called `name`, or None."""
        found = self._by_name.get(fold(name))
        return self._behind.find(name) if found is None and self._behind else found

    def nearest(self, name: str, count: int = 3) -> tuple[str, ...]:
        """Return the proper names of up to `count` ingredients that `name` may have meant."""
        wanted = fold(name[:80])  # longer than any name here; keeps the comparison cheap
        known = self._known()
        ranked = process.extract(
            wanted, known.keys(), scorer=fuzz.ratio, limit=4 * count, score_cutoff=60
        )
        close = [alike for alike, *_ in ranked]
        words = set(wanted.split())
        shared = {name: len(words & set(name.split())) for name in known}
        sharing = sorted(filter(shared.get, known), key=lambda name: (-shared[name], len(name)))
        return tuple(dict.fromkeys(known[name].name for name in [*close, *sharing]))[:count]

    def with_custom(self, custom: Iterable[Ingredient]) -> "Pantry":
        """Return a pantry in which a caller's own ingredients stand in front of the known ones."""
        custom = tuple(custom)
        return _in_front(custom, self) if custom else self

    def _known(self) -> dict[str, Ingredient]:
        behind = self._behind._known() if self._behind else {}
        return {**behind, **self._by_name}


@lru_cache(maxsize=64)
def _in_front(custom: tuple[Ingredient, ...], behind: Pantry) -> Pantry:
    """Lay out a caller's ingredients once for all the lines of a recipe."""
    return Pantry(custom, behind=behind)


@lru_cache(maxsize=16384)
def fold(name: str) -> str:
    """Return `name` as it is compared: no case, accents, punctuation or plural s."""
    plain = unicodedata.normalize("NFKD", name).casefold()
    plain = plain.replace("œ", "oe").replace("æ", "ae")
    kept = "".join(
        " " if not character.isalnum() else character
        for character in plain
        if not unicodedata.combining(character) and character not in "'’"
    )
    return " ".join(_singular(word) for word in kept.split())


def _singular(word: str) -> str:
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@cache
def known_pantry() -> Pantry:
    """Return the pantry of known ingredients, read once from the table that ships with the code."""
    folder = files("models") / "ingredient_data"
    families = sorted(
        (entry for entry in folder.iterdir() if entry.name.endswith(".toml")),
        key=lambda entry: entry.name,
    )
    return Pantry(
        Ingredient.model_validate(entry, strict=False)
        for family in families
        for entry in tomllib.loads(family.read_text("utf-8"))["ingredient"]
    )
