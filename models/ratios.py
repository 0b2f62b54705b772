"""Ratios: what decides whether a dough holds its shape, each defined once, for numbers of any kind.

The definitions below take exact fractions, floats and arrays alike, so that what is predicted, what
the program bounds and what is re-checked cannot disagree. Windows of ratios are `models.window`.
"""

from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from models.exact import exact, exact_sum
from models.ingredient import Ingredient, Leavening
from models.measures import Amount
from models.value import Value

RatioName = Literal[
    "flour_to_fat",
    "soda_equivalent_percent",
    "moisture_percent",
    "liquid_per_flour",
    "wet_per_flour",
    "sugar_percent",
    "egg_percent",
]

DEFAULT_POWDER_STRENGTH = 0.25
"""One part soda for four of double-acting powder: common practice, no source."""

SODA_STRENGTH: dict[Leavening, Fraction] = {
    "soda": Fraction(1),
    # Gas of NH4HCO3 (CO2 and NH3) against CO2 of soda with acid, by volume; molar masses.
    "ammonia": Fraction("2.1"),
    # CO2 of K2CO3 with acid against that of soda with acid; molar masses.
    "potash": Fraction("0.61"),
    # 21 CFR 137.180: at least 0.5 % CO2, which is 0.95 g of soda in 100 g of flour.
    "self_rising": Fraction("0.0095"),
    "yeast": Fraction(0),
}
"""Grams of baking soda that a gram of each stands for; baking powder's is the caller's."""


class Masses(NamedTuple):
    """The sums that the ratios are made of, in grams; numbers, exact or not, or arrays of them."""

    flour: Any
    fat: Any
    soda: Any
    water: Any
    liquid: Any
    sugars: Any
    egg: Any


class Ratio(NamedTuple):
    """One ratio: a weighted sum of masses over another."""

    numerator: Callable[[Masses], Any]
    denominator: Callable[[Masses], Any]


RATIOS: dict[RatioName, Ratio] = {
    "flour_to_fat": Ratio(lambda m: m.flour, lambda m: m.fat),
    "soda_equivalent_percent": Ratio(lambda m: 100 * m.soda, lambda m: m.flour),
    "moisture_percent": Ratio(lambda m: 100 * m.water, lambda m: m.flour),
    "liquid_per_flour": Ratio(lambda m: m.liquid, lambda m: m.flour),
    "wet_per_flour": Ratio(lambda m: m.liquid + m.fat, lambda m: m.flour),
    "sugar_percent": Ratio(lambda m: 100 * m.sugars, lambda m: m.flour),
    "egg_percent": Ratio(lambda m: 100 * m.egg, lambda m: m.flour),
}


class Ratios(Value):
    """The ratios of a dough; null where the dough has nothing to divide by."""

    flour_to_fat: float | None
    soda_equivalent_percent: float | None
    moisture_percent: float | None
    liquid_per_flour: float | None
    wet_per_flour: float | None
    sugar_percent: float | None
    egg_percent: float | None


@lru_cache(maxsize=4096)
def masses_per_gram(ingredient: Ingredient, powder_strength: float) -> Masses:
    """Return what a gram of `ingredient` adds to each sum.

    Fat, flour, liquid and egg count as weighed, by role; water and sugars by composition. The water
    of flour itself is left out: a flour is as dry in one dough as in another.
    """
    role = ingredient.role
    return Masses(
        flour=Fraction(role == "flour"),
        fat=Fraction(role == "fat"),
        soda=soda_strength(ingredient, powder_strength),
        water=Fraction(0) if role == "flour" else ingredient.water_share,
        liquid=Fraction(ingredient.is_wet),
        sugars=ingredient.sugars_share,
        egg=Fraction(role == "egg"),
    )


def soda_strength(ingredient: Ingredient, powder_strength: float) -> Fraction:
    """Return the grams of baking soda that a gram of `ingredient` stands for."""
    if ingredient.leavening == "powder":
        return exact(powder_strength)
    return SODA_STRENGTH[ingredient.leavening] if ingredient.leavening else Fraction(0)


def masses_of(amount: Amount, strength: float) -> Masses:
    """Return what `amount` adds to each sum, exactly; `strength` is that of baking powder."""
    return add_masses(
        Masses(*(_times(part.grams, share) for share in masses_per_gram(part.ingredient, strength)))
        for part in amount.parts
    )


def _times(grams: Fraction, share: Fraction) -> Fraction:
    """Return grams × share; most shares are none or all, and fractions are slow to multiply."""
    if not share:
        return share
    return grams if share == 1 else grams * share


def add_masses(masses: Iterable[Masses]) -> Masses:
    """Return the sum of several masses, field by field."""
    columns = list(zip(*masses, strict=True)) or [()] * len(Masses._fields)
    return Masses(*map(exact_sum, columns))


def ratio_of(name: RatioName, masses: Masses) -> Fraction | None:
    """Return one ratio exactly, or None without flour or where there is nothing to divide by."""
    ratio = RATIOS[name]
    below = ratio.denominator(masses)
    return ratio.numerator(masses) / below if below and masses.flour else None


def ratios_of(masses: Masses) -> Ratios:
    """Return the ratios as floats; all null without flour."""
    values = {name: ratio_of(name, masses) for name in RATIOS}
    return Ratios(**{name: None if v is None else float(v) for name, v in values.items()})
