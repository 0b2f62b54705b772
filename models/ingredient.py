"""An ingredient: its role in a dough, what it is made of, and what a cup of it weighs.

The table of known ingredients is `models.pantry`; a caller may bring others with a recipe.
"""

from fractions import Fraction
from functools import cached_property
from typing import Annotated, Literal, assert_never

from pydantic import Field, model_validator

from models.exact import exact
from models.value import Name, Percent, Value

Role = Literal[
    "flour",
    "fat",
    "sugar",
    "syrup",
    "egg",
    "liquid",
    "leavener",
    "acid",
    "cocoa",
    "salt",
    "flavour",
    "inclusion",
]
"""What an ingredient does in the dough; each ingredient has one."""

Leavening = Literal["soda", "powder", "ammonia", "potash", "self_rising", "yeast"]
"""What raises the dough; `models.ratios` knows how strong each is."""

FatKind = Literal["butter", "firm", "oil"]
"""Butter and what is made of it; firm fats (shortening, lard, margarine, coconut); oils."""

Grams = Annotated[float, Field(ge=0.001, le=5000)]
Text = Annotated[str, Field(max_length=500)]


class Ingredient(Value):
    """One ingredient. Percentages are grams per 100 g as bought.

    `grams_per_teaspoon` is the base for leaveners, salt, spices and extracts, `grams_per_cup` for
    everything else: one density, so a cup is always 16 tablespoons and 48 teaspoons.
    `grams_per_unit` is one piece: an egg, a stick of butter, a packet of yeast (`unit_name`).
    A whole egg also says what its yolk and white weigh.
    `fat_kind` is what a fat is like in the cold and in the mixing, `acid_meq_per_gram` the acid
    that soda can meet (milliequivalents to the gram). What is `flour_like` takes up water and gives
    a dough body as flour does; unless told, flours, starches and cocoa are.
    """

    name: Name
    role: Role
    water_percent: Percent
    fat_percent: Percent = 0.0
    sugars_percent: Percent = 0.0
    grams_per_cup: Grams | None = None
    grams_per_teaspoon: Grams | None = None
    unit_name: Annotated[str, Field(min_length=1, max_length=40)] | None = None
    grams_per_unit: Grams | None = None
    yolk_grams: Grams | None = None
    white_grams: Grams | None = None
    leavening: Leavening | None = None
    fat_kind: FatKind | None = None
    acid_meq_per_gram: Annotated[float, Field(ge=0, le=20)] | None = None
    flour_like: bool | None = None
    aliases: Annotated[tuple[Name, ...], Field(max_length=40)] = ()
    allergens_us: Annotated[tuple[Text, ...], Field(max_length=14)] | None = None
    allergens_eu: Annotated[tuple[Text, ...], Field(max_length=14)] | None = None
    allergen_note: Text | None = None
    composition_source: Text | None = None
    density_source: Text | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _weighs_one_way(self) -> "Ingredient":
        if self.grams_per_cup is not None and self.grams_per_teaspoon is not None:
            raise ValueError(
                "give grams_per_cup or grams_per_teaspoon, not both: a cup is 48 teaspoons"
            )
        if self.water_percent + self.fat_percent + self.sugars_percent > 100.5:
            # Half a percent of room: the three are rounded figures from different analyses.
            raise ValueError("water, fat and sugars together are more than 100 percent")
        return self

    def __hash__(self) -> int:
        """Hash by name: tables are kept by ingredient, and hashing every member is slow."""
        return hash(self.name)

    @property
    def is_solid(self) -> bool:
        """Whether it counts among the solids of a dough, gram for gram."""
        if self.flour_like is not None:
            return self.flour_like
        match self.role:
            case "flour" | "cocoa":
                return True
            case "fat" | "sugar" | "syrup" | "egg" | "liquid" | "acid":
                return False
            case "leavener" | "salt" | "flavour" | "inclusion":
                return False
            case _:
                assert_never(self.role)

    @property
    def is_wet(self) -> bool:
        """Whether it counts, gram for gram, among what wets a dough."""
        match self.role:
            case "liquid" | "egg" | "syrup":
                return True
            case "flour" | "fat" | "sugar" | "leavener" | "acid":
                return False
            case "cocoa" | "salt" | "flavour" | "inclusion":
                return False
            case _:
                assert_never(self.role)

    @cached_property
    def cup_grams(self) -> Fraction | None:
        """Grams in a US cup, exactly, or None where the ingredient is not measured by volume."""
        if self.grams_per_teaspoon is not None:
            return 48 * exact(self.grams_per_teaspoon)
        return None if self.grams_per_cup is None else exact(self.grams_per_cup)

    @cached_property
    def water_share(self) -> Fraction:
        """Grams of water in a gram."""
        return exact(self.water_percent) / 100

    @cached_property
    def sugars_share(self) -> Fraction:
        """Grams of sugars in a gram."""
        return exact(self.sugars_percent) / 100

    @cached_property
    def fat_share(self) -> Fraction:
        """Grams of fat in a gram."""
        return exact(self.fat_percent) / 100
