"""Pins: what a visitor says of a line that was read with doubt: leave it out, what it is and
weighs, or what a food that nobody knows is made of.

They go by the words of the line, so that they hold wherever it stands. What a request does with
them is `models.recipe`.
"""

import re
from typing import Any

from models.ingredient import Role
from models.reading.unfamiliar import unfamiliar_food
from service.page.fields import Fields
from service.reading.recipe_text import ReadLine

OUT, IS, GRAMS, KIND = "out", "is.", "grams.", "kind."
SHARES = {"fat_percent": "fat.", "water_percent": "water.", "sugars_percent": "sugars."}
"""The fields that say what a food is made of, by the member of an ingredient that each becomes."""

KINDS: dict[Role, str] = {
    "flour": "Flour, starch",
    "fat": "Fat",
    "sugar": "Sugar",
    "syrup": "Syrup",
    "liquid": "Liquid",
    "egg": "Egg",
    "inclusion": "Mixed in",
    "flavour": "Flavour",
}
"""What a food may be, as a visitor says it."""

_NUMBER = re.compile(r"\d{1,6}([.,]\d{1,6})?", re.ASCII)


def pinned(fields: Fields, line: ReadLine) -> dict[str, Any] | None:
    """Return a line as a request holds it with what was said of it; None where nothing was.

    What was not said stays as it was read; without a weight from either there is no pin.
    """
    text = line.text
    if text in fields.all(OUT):
        return {"text": text, "aside": True}
    grams = _figure(fields.one(GRAMS + text), "g")
    name = fields.one(IS + text).strip()
    if grams is None and not name:
        return None
    name, grams = name or line.ingredient or "", line.grams if grams is None else grams
    if not name or grams is None:
        return None
    return {"text": text, "ingredient": name, "quantity": grams, "unit": "g"}


def lacks_weight(fields: Fields, line: ReadLine) -> bool:
    """Tell whether it was said what a line is, and neither said nor read what that weighs."""
    return bool(fields.one(IS + line.text).strip()) and pinned(fields, line) is None


def own_food(fields: Fields, line: ReadLine) -> dict[str, Any] | None:
    """Return the food of a line as a visitor describes it; None where nothing was described.

    Shares that were not said are those of its kind's usual members.
    """
    kind = next((role for role in KINDS if role == fields.one(KIND + line.text)), None)
    said = {name: _figure(fields.one(at + line.text), "%") for name, at in SHARES.items()}
    shares = {name: share for name, share in said.items() if share is not None}
    if line.text in fields.all(OUT) or (kind is None and not shares):
        return None
    name = fields.one(IS + line.text).strip() or line.ingredient or line.text[:100]
    food, _ = unfamiliar_food(name, kind or line.role or "inclusion")
    described = food.model_dump(mode="json", exclude_defaults=True)
    return {**described, "name": name, "water_percent": food.water_percent, **shares}


def _figure(typed: str, unit: str) -> float | None:
    """Return a number that was typed with or without its unit; None for anything else."""
    typed = typed.strip().removesuffix(unit).strip()
    return float(typed.replace(",", ".")) if _NUMBER.fullmatch(typed) else None
