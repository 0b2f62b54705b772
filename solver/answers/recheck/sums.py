"""The ratios of an answer summed once more, from each ingredient's own line in the table."""

from collections.abc import Iterable
from fractions import Fraction

from models.exact import exact
from models.ingredient import Ingredient
from models.measures import Part
from models.ratios import RatioName

_STRENGTH = {"soda": "1", "ammonia": "2.1", "potash": "0.61", "self_rising": "0.0095", "yeast": "0"}


def ratios_again(parts: Iterable[Part], powder_strength: float) -> dict[RatioName, Fraction | None]:
    """Return the ratios of a dough of `parts`, None where there is nothing to divide by."""
    flour = fat = soda = water = liquid = sugars = egg = Fraction(0)
    for part in parts:
        grams, ingredient, role = part.grams, part.ingredient, part.ingredient.role
        if role == "flour":
            flour += grams
        else:
            water += grams * exact(ingredient.water_percent) / 100
        if role == "fat":
            fat += grams
        if role in ("liquid", "egg", "syrup"):
            liquid += grams
        if role == "egg":
            egg += grams
        if ingredient.sugars_percent:
            sugars += grams * exact(ingredient.sugars_percent) / 100
        if ingredient.leavening is not None:
            soda += grams * _strength(ingredient, powder_strength)
    return {
        "flour_to_fat": flour / fat if fat else None,
        "soda_equivalent_percent": 100 * soda / flour if flour else None,
        "moisture_percent": 100 * water / flour if flour else None,
        "liquid_per_flour": liquid / flour if flour else None,
        "wet_per_flour": (liquid + fat) / flour if flour else None,
        "sugar_percent": 100 * sugars / flour if flour else None,
        "egg_percent": 100 * egg / flour if flour else None,
    }


def _strength(ingredient: Ingredient, powder_strength: float) -> Fraction:
    if ingredient.leavening is None:
        return Fraction(0)
    if ingredient.leavening == "powder":
        return exact(powder_strength)
    return Fraction(_STRENGTH[ingredient.leavening])
