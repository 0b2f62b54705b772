"""The table of ingredients as people search it and as it goes over the wire.

The table itself is `models.pantry`.
"""

from typing import Annotated

from pydantic import ConfigDict, Field

from models.cautions import Allergens
from models.ingredient import Ingredient, Leavening, Role
from models.pantry import fold, known_pantry
from models.value import Value

MOST_ENTRIES = 500


class IngredientQuery(Value):
    """What to search for; without a query, everything."""

    model_config = ConfigDict(strict=False)  # an address holds text only, numbers too

    query: Annotated[str, Field(max_length=200, description="A name, or part of one.")] = ""
    limit: Annotated[int, Field(ge=1, le=MOST_ENTRIES, description="At most so many.")] = 20


class Composition(Value):
    """Grams in 100 g as bought."""

    water_percent: float
    fat_percent: float
    sugars_percent: float


class Weights(Value):
    """Grams in a US cup, tablespoon and teaspoon, and in one piece; null where not known."""

    cup: float | None
    tbsp: float | None
    tsp: float | None
    each: float | None
    piece: str | None


class Sources(Value):
    """Where the figures come from."""

    composition: str | None
    density: str | None


class IngredientEntry(Value):
    """One ingredient of the table; allergens are null where no classes are known."""

    name: str
    role: Role
    leavening: Leavening | None
    composition: Composition
    grams_per: Weights
    aliases: tuple[str, ...]
    allergens: Allergens | None
    allergen_note: str | None
    note: str | None
    sources: Sources

    @classmethod
    def of(cls, ingredient: Ingredient) -> "IngredientEntry":
        """Show `ingredient`."""
        i = ingredient
        known = i.allergens_us is not None and i.allergens_eu is not None
        return cls(
            name=i.name,
            role=i.role,
            leavening=i.leavening,
            composition=Composition(
                water_percent=i.water_percent,
                fat_percent=i.fat_percent,
                sugars_percent=i.sugars_percent,
            ),
            grams_per=_weights(i),
            aliases=i.aliases,
            allergens=Allergens(us=i.allergens_us or (), eu=i.allergens_eu or ())
            if known
            else None,
            allergen_note=i.allergen_note,
            note=i.note,
            sources=Sources(composition=i.composition_source, density=i.density_source),
        )


class IngredientSearch(Value):
    """Ingredients found: `total` before the limit, and near misses where nothing was found."""

    ingredients: tuple[IngredientEntry, ...]
    total: int
    near_misses: tuple[IngredientEntry, ...]


def search(asked: IngredientQuery) -> IngredientSearch:
    """Return the ingredients that a query names: those it names in full first, then by name."""
    wanted = fold(asked.query)
    places = ((_place(ingredient, wanted), ingredient) for ingredient in known_pantry())
    ranked = [(place, i.name, i) for place, i in places if place is not None]
    if asked.query and not wanted:  # marks alone name nothing
        ranked = []
    near = (
        []
        if ranked
        else [known_pantry().find(name) for name in known_pantry().nearest(asked.query)]
    )
    return IngredientSearch(
        ingredients=tuple(IngredientEntry.of(i) for *_, i in sorted(ranked)[: asked.limit]),
        total=len(ranked),
        near_misses=tuple(IngredientEntry.of(i) for i in near if i is not None),
    )


def _place(ingredient: Ingredient, wanted: str) -> int | None:
    names = [fold(name) for name in (ingredient.name, *ingredient.aliases)]
    if wanted in names:
        return 0
    if wanted in names[0]:
        return 1
    return 2 if any(wanted in name for name in names) else None


def _weights(ingredient: Ingredient) -> Weights:
    cup = ingredient.cup_grams
    return Weights(
        cup=None if cup is None else float(cup),
        tbsp=None if cup is None else float(cup / 16),
        tsp=None if cup is None else float(cup / 48),
        each=ingredient.grams_per_unit,
        piece=ingredient.unit_name,
    )
