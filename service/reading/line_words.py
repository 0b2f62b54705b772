"""A measured line in words that read back as the same amount."""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from models.ingredient import Ingredient
from models.measures import number_words
from models.pantry import Pantry
from models.reading import UnreadableLine, read_line
from models.recipe import MeasuredLine, Recipe, find_ingredient

SAME_SHARE = 1e-9
"""Grams that went through a float are this close to themselves; no scale tells them apart."""


def line_words(line: dict[str, Any], pantry: Pantry) -> str:
    """Return our three members in words, to the milligram; raise ValueError where they mean
    nothing."""
    reading = MeasuredLine.model_validate(line).read(pantry)
    amount, ingredient = reading.amount, reading.ingredient
    found = wording(ingredient, amount.measure, float(amount.grams), pantry)
    return found or in_grams(ingredient, amount.grams)


def ingredient_in(recipe: Recipe, name: str) -> Ingredient:
    """Return what a line of `recipe` counts as under this name, or what the pantry calls so.

    A food beyond the pantry is known by its line alone. Raises UnreadableLine for neither.
    """
    counted = (reading.ingredient for reading in recipe.readings())
    found = next((ingredient for ingredient in counted if ingredient.name == name), None)
    return found or find_ingredient(name, recipe.pantry)


def wording(ingredient: Ingredient, measure: str, grams: float, pantry: Pantry) -> str | None:
    """Return `measure` of `ingredient` as a line that reads back as `grams` of it, or None."""
    for words in _wordings(ingredient, measure, grams):
        try:
            reading = read_line(words, pantry)
        except UnreadableLine:
            continue
        same = abs(float(reading.amount.grams) - grams) <= SAME_SHARE * grams
        if reading.ingredient == ingredient and same:
            return words
    return None


def _wordings(ingredient: Ingredient, measure: str, grams: float) -> Iterator[str]:
    if ingredient.unit_name:
        yield measure
    yield f"{measure} {ingredient.name}"
    yield in_grams(ingredient, Fraction(grams))


def in_grams(ingredient: Ingredient, grams: Fraction) -> str:
    """Return so many grams of an ingredient in words."""
    return f"{number_words(grams, by_weight=True)} g {ingredient.name}"
