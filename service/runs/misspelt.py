"""Misspelt names: those in a run's limits that no recipe of its catalogue has.

A name that fits some recipes and not others is left out where it does not fit, and the run's items
say so (`models.run`); one that fits none protects nothing, and is better told before the run.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import ValidationError

from models.errors import Fault, pointer
from models.formula import Formula
from models.limits import Limits, positions_of
from models.pantry import known_pantry
from models.recipe import Recipe
from models.run import RunBrief

Place = tuple[int | str, ...]

MOST_SEARCHED = 2_000
"""So many recipes are read for a name (a second or two); past that it is given the benefit."""


def misspelt_names(brief: RunBrief, recipes: Iterable[dict[str, Any] | None]) -> Iterator[Fault]:
    """Yield a fault for each name in the limits of `brief` that fits none of `recipes`."""
    wanted = _names(brief.limits)
    read = 0
    for written in recipes if wanted else ():
        formula = _formula(written)
        if formula is None:
            continue
        read += 1
        wanted = {place: name for place, name in wanted.items() if not _fits(place, name, *formula)}
        if not wanted or read == MOST_SEARCHED:
            return
    for place, name in wanted.items():
        if place[1] != "may_add" and read:
            message = "is in no recipe of this catalogue; check its spelling, or leave it out"
            yield Fault(pointer=pointer(place), message=f'"{name}" {message}')
        elif place[1] == "may_add" and known_pantry().find(name) is None:
            near = " or ".join(known_pantry().nearest(name))
            hint = f"did you mean {near}?" if near else "GET /v1/ingredients?query= finds those"
            yield Fault(pointer=pointer(place), message=f'"{name}" is no known ingredient; {hint}')


def _names(limits: Limits) -> dict[Place, str]:
    """Return every name in `limits` by where it stands."""
    listed = {"keep": limits.keep, "may_add": limits.may_add}
    names: dict[Place, str] = {
        ("limits", member, at): name for member in listed for at, name in enumerate(listed[member])
    }
    return names | {("limits", "max_change_percent", n): n for n in limits.max_change_percent}


def _fits(place: Place, name: str, recipe: Recipe, weighed: Formula) -> bool:
    """Tell whether a name means something to `recipe`: to add, what it knows; else, what it has."""
    if place[1] == "may_add":
        return recipe.pantry.find(name) is not None
    return bool(positions_of(name, weighed, recipe.pantry))


def _formula(written: dict[str, Any] | None) -> tuple[Recipe, Formula] | None:
    if written is None:
        return None
    try:
        recipe = Recipe.model_validate(written, strict=False)
    except ValidationError:  # kept when another table of ingredients could read it
        return None
    return recipe, Formula.from_recipe(recipe)
