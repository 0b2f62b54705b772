"""Telling a baker what to do next: a way as a recipe, as words, and what would have to give."""

from collections.abc import Iterator

from models.brief import RecipeToWeigh
from models.recipe import Recipe
from models.target import Target
from models.thickness import thickness_words
from models.what_if import ChangeByPercent, Edit, Replace, WhatIf
from solver.kitchen.ways import FAT_TO_SWAP_IN, Way
from solver.what_if import judge


def recipe_of_way(asked: RecipeToWeigh, way: Way) -> Recipe:
    """Return the recipe of a way; the lines that do not move stay as they were written."""
    edits = tuple(_edits(asked, way))
    if not edits:
        return asked.recipe
    question = WhatIf(recipe=asked.recipe, powder_strength=asked.powder_strength, edits=edits)
    edited = judge(question).recipe or asked.recipe
    told = {name: getattr(edited, name) for name in Recipe.model_fields}
    return Recipe(**told)  # made anew: a copy would keep what the old lines were read as


def _edits(asked: RecipeToWeigh, way: Way) -> Iterator[Edit]:
    lines = [line for line in asked.formula.lines if line.grams]

    def named(role: str) -> list[str]:
        return list(dict.fromkeys(line.name for line in lines if line.role == role))

    for role, factor in (("leavener", way.leavening), ("flour", way.flour)):
        if factor != 1:
            for name in named(role):
                yield ChangeByPercent(ingredient=name, change_percent=100 * (factor - 1))
    if way.swapped:
        for name in dict.fromkeys(x.name for x in lines if x.ingredient.fat_kind == "butter"):
            yield Replace(ingredient=name, replace_with=FAT_TO_SWAP_IN, basis="fat")


def changes_of(way: Way, target: Target) -> Iterator[str]:
    """Yield what a way does to the recipe and its sheet, in words."""
    if way.thickness_mm != target.thickness_mm:
        planned = thickness_words(target.thickness_mm)
        yield f"roll to {thickness_words(way.thickness_mm)} instead of {planned}"
    if way.chilled and not target.chilled:
        yield "chill the cut pieces before they bake"
    if way.leavening == 0:
        yield "leave the leavening out"
    elif way.leavening != 1:
        yield f"take {100 * (1 - way.leavening):.0f} % less leavening"
    if way.flour != 1:
        yield f"take {100 * (way.flour - 1):.0f} % more flour"
    if way.swapped:
        yield f"take {FAT_TO_SWAP_IN} instead of the butter, as much as brings equal fat"


def way_words(way: Way, target: Target) -> str:
    """Return a way in a sentence."""
    done = list(changes_of(way, target)) or ["bake it as it is written"]
    said = ", and ".join([", ".join(done[:-1]), done[-1]] if len(done) > 1 else done)
    return f"{said[0].upper()}{said[1:]}."
