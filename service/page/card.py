"""The card: the changed recipe in lines that a person can bake from, copy, or take elsewhere."""

import json
from collections.abc import Iterator
from typing import Any, NamedTuple
from urllib.parse import quote

from models.brief import Brief
from models.outcome import OutcomeLine, RolledSheet
from models.reading import SetAside
from models.recipe import TextLine
from service.page.languages import Say
from service.page.words import length, named
from service.reading.line_words import ingredient_in, wording

UNTITLED = "Rolled dough"


class Baked(NamedTuple):
    """What is baked: the lines of the dough as they are answered, the factor that every line was
    multiplied by, and the sheet; None without a form."""

    lines: tuple[OutcomeLine, ...]
    factor: float = 1.0
    sheet: RolledSheet | None = None


def card_lines(brief: Brief, baked: Baked) -> list[str]:
    """Return the lines to bake from, each reading back as what was answered; empty for no answer.

    What did not move stands as it was written; what went to nothing is gone.
    """
    return [str(line["text"]) for line in _written(brief, baked)]


def written_lines(brief: Brief, baked: Baked) -> list[dict[str, Any]]:
    """Return the changed recipe's lines as a request holds them, pinned ones still pinned."""
    return list(_written(brief, baked))


def card_text(say: Say, brief: Brief, baked: Baked, lengths: str) -> str:
    """Return the card as plain text."""
    title = brief.recipe.title or say(UNTITLED)
    parts = [title, "", *card_lines(brief, baked)]
    if brief.target:
        parts += ["", on_form(say, brief, baked.sheet, lengths).replace("\u00a0", " ")]
    return "\n".join([*parts, "", say("Worked out by estimate; a trial bake decides.")])


def on_form(say: Say, brief: Brief, sheet: RolledSheet | None, lengths: str) -> str:
    """Return what the piece is baked on and how thick it is rolled, nothing for no form."""
    if brief.target is None:
        return ""
    form = brief.target.form
    thickness_mm = sheet.thickness_mm if sheet else brief.target.thickness_mm
    cold = sheet.chilled if sheet else brief.target.chilled
    told = say(
        "Roll to %(thickness)s for a %(form)s: %(dimensions)s.",
        thickness=length(thickness_mm, lengths),
        **named(say, form),
    )
    return f"{told} {say('Chill the cut pieces before they bake.')}" if cold else told


def json_ld_address(brief: Brief, baked: Baked) -> str:
    """Return the card in schema.org's words, as an address that holds it whole."""
    recipe = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": brief.recipe.title or UNTITLED,
        "recipeIngredient": card_lines(brief, baked),
    }
    written = json.dumps(recipe, ensure_ascii=False, indent=1)
    return f"data:application/ld+json;charset=utf-8,{quote(written)}"


def _written(brief: Brief, baked: Baked) -> Iterator[dict[str, Any]]:
    dough = iter(baked.lines)
    for old, meant in zip(brief.recipe.lines, brief.recipe.understood, strict=True):
        if isinstance(meant, SetAside):
            if isinstance(old, TextLine):
                yield old.model_dump(mode="json")
            continue
        line = next(dough)
        stays = not line.moved and baked.factor == 1
        if stays and isinstance(old, TextLine):
            yield old.model_dump(mode="json")
        elif line.after is not None and line.after.grams:
            yield {"text": _words(brief, line, line.after.measure, line.after.grams)}
    for line in dough:  # those that entered
        if line.after is not None and line.after.grams:
            yield {"text": _words(brief, line, line.after.measure, line.after.grams)}


def _words(brief: Brief, line: OutcomeLine, measure: str, grams: float) -> str:
    ingredient = ingredient_in(brief.recipe, line.ingredient)
    found = wording(ingredient, measure, grams, brief.recipe.pantry)
    return found or f"{measure} {ingredient.name}"
