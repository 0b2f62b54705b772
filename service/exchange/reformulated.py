"""A reformulated recipe on its way out: what moved in its new measures, the rest as written."""

from collections.abc import Iterator

from models.ingredient import Ingredient
from models.outcome import Outcome, OutcomeLine
from models.pantry import Pantry
from models.reading import SetAside
from models.recipe import Recipe, find_ingredient
from service.exchange.entry import (
    INGREDIENTS,
    Entry,
    entry_of,
    own_ingredients,
    written_line,
)
from service.reading.line_words import wording
from service.reading.schema_org import Written


def reformulated(entry: Entry, outcome: Outcome) -> Entry:
    """Return `entry` with the amounts of `outcome`, or as it is where there is no answer.

    Lines that are not in the recipe stay where they stand; lines that went to nothing are gone and
    new ones come last.
    """
    if entry.recipe is None or outcome.outcome == "infeasible":
        return entry
    if any(line.after is None for line in outcome.lines):
        return entry
    new = _new_lines(entry.recipe, outcome)
    lines = [line for line in new if line is not None]
    own = own_ingredients(entry)
    extras = {**entry.extras, **({INGREDIENTS: own} if own else {})}
    return entry_of(entry.external_id, entry.title, lines, extras)


def _new_lines(recipe: Recipe, outcome: Outcome) -> Iterator[Written | None]:
    """Yield each line as it now is, None for one that is gone."""
    pantry = recipe.pantry
    dough = iter(outcome.lines)
    for old, meant in zip(recipe.lines, recipe.understood, strict=True):
        if isinstance(meant, SetAside):
            yield written_line(old)
            continue
        line = next(dough)
        stays = not line.moved and outcome.batch_factor == 1
        yield written_line(old) if stays else _new_line(line, pantry)
    for line in dough:  # those that entered
        yield _new_line(line, pantry)


def _new_line(line: OutcomeLine, pantry: Pantry) -> Written | None:
    after = line.after
    if after is None or not after.grams:
        return None
    ingredient: Ingredient = find_ingredient(line.ingredient, pantry)
    words = wording(ingredient, after.measure, after.grams, pantry)
    return words or {"ingredient": ingredient.name, "quantity": after.grams, "unit": "g"}
