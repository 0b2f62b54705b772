"""A reformulated recipe on its way out: what moved in its new measures, the rest as written."""

from collections.abc import Iterator

from models.exact import exact
from models.outcome import Outcome, OutcomeLine
from models.reading import SetAside
from models.recipe import MeasuredLine, Recipe, TextLine
from service.exchange.entry import LINES, Entry, written_line
from service.reading.line_words import in_grams, ingredient_in, wording
from service.reading.recipe_text import UnreadLine
from service.reading.schema_org import words_of


def reformulated(entry: Entry, outcome: Outcome) -> Entry:
    """Return `entry` with the amounts of `outcome`, or as it is where there is no answer.

    Lines that are not in the recipe stay where they stand; lines that went to nothing are gone and
    new ones come after the last of the dough.
    """
    if entry.recipe is None or outcome.outcome == "infeasible":
        return entry
    if any(line.after is None for line in outcome.lines):
        return entry
    lines = tuple(line for line in _new_lines(entry.recipe, outcome) if line is not None)
    recipe = entry.recipe.model_copy(update={"lines": lines})
    recipe = Recipe.model_validate(recipe.model_dump(exclude_unset=True), strict=False)
    words = [words_of(written_line(line)) for line in lines]
    unread = tuple(
        UnreadLine(line=each.line, text=words[each.line - 1], message=each.message)
        for each in recipe.doubtful
    )
    kept = {name: value for name, value in entry.extras.items() if name != LINES}
    return entry.model_copy(update={"recipe": recipe, "unread": unread, "extras": kept})


def _new_lines(recipe: Recipe, outcome: Outcome) -> Iterator[TextLine | MeasuredLine | None]:
    """Yield each line as it now is, None for one that is gone."""
    counted = recipe.counted
    dough = iter(outcome.lines)
    for at, (old, meant) in enumerate(zip(recipe.lines, recipe.understood, strict=True)):
        if isinstance(meant, SetAside):
            yield old
            continue
        line = next(dough)
        stays = not line.moved and outcome.batch_factor == 1
        yield old if stays else _new_line(line, recipe)
        if at == counted[-1]:  # those that entered, with the dough: another part may follow
            yield from (_new_line(line, recipe) for line in dough)


def _new_line(line: OutcomeLine, recipe: Recipe) -> TextLine | MeasuredLine | None:
    after = line.after
    if after is None or not after.grams:
        return None
    ingredient = ingredient_in(recipe, line.ingredient)
    words = wording(ingredient, after.measure, after.grams, recipe.pantry)
    if words:
        return TextLine(text=words)
    if recipe.pantry.find(ingredient.name) is None:
        return TextLine(text=in_grams(ingredient, exact(after.grams)))
    return MeasuredLine(ingredient=ingredient.name, quantity=after.grams, unit="g")
