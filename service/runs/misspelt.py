"""Misspelt names: those in a run's limits that no recipe of its catalogue has.

A name that fits some recipes and not others is left out where it does not fit, and the run's items
say so (`models.run`); one that fits none protects nothing, and is better told before the run.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import ValidationError

from models.errors import Fault, pointer
from models.formula import Formula
from models.limits import positions_of
from models.recipe import Recipe
from models.run import RunBrief

MOST_SEARCHED = 2_000
"""So many recipes are read for a name (a second or two); past that it is given the benefit."""


def misspelt_names(brief: RunBrief, recipes: Iterable[dict[str, Any] | None]) -> Iterator[Fault]:
    """Yield a fault for each name in the limits of `brief` that fits none of `recipes`."""
    wanted: dict[tuple[int | str, ...], str] = {
        ("limits", "keep", i): name for i, name in enumerate(brief.limits.keep)
    }
    changed = brief.limits.max_change_percent
    wanted |= {("limits", "max_change_percent", name): name for name in changed}
    read = 0
    for written in recipes if wanted else ():
        formula = _formula(written)
        if formula is None:
            continue
        read += 1
        recipe, weighed = formula
        wanted = {
            place: name
            for place, name in wanted.items()
            if not positions_of(name, weighed, recipe.pantry)
        }
        if not wanted or read == MOST_SEARCHED:
            return
    for place, name in wanted.items() if read else ():
        message = f'"{name}" is in no recipe of this catalogue; check its spelling, or leave it out'
        yield Fault(pointer=pointer(place), message=message)


def _formula(written: dict[str, Any] | None) -> tuple[Recipe, Formula] | None:
    if written is None:
        return None
    try:
        recipe = Recipe.model_validate(written, strict=False)
    except ValidationError:  # kept when another table of ingredients could read it
        return None
    return recipe, Formula.from_recipe(recipe)
