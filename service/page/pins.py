"""Pins: what a visitor says of a line that was read with doubt: leave it out, or what it is.

They go by the words of the line, so that they hold wherever it stands. What a request does with
them is `models.recipe`.
"""

import re
from typing import Any

from service.page.fields import Fields

OUT, IS, GRAMS, READ = "out", "is.", "grams.", "read."

_GRAMS = re.compile(r"\d{1,6}([.,]\d{1,6})?", re.ASCII)


def pinned(fields: Fields, text: str) -> dict[str, Any]:
    """Return a line as a request holds it, with what was said of it."""
    if text in fields.all(OUT):
        return {"text": text, "aside": True}
    grams = fields.one(GRAMS + text).strip().removesuffix("g").strip()
    ingredient = fields.one(IS + text).strip() or fields.one(READ + text).strip()
    if not ingredient or not _GRAMS.fullmatch(grams):
        return {"text": text}
    quantity = float(grams.replace(",", "."))
    return {"text": text, "ingredient": ingredient, "quantity": quantity, "unit": "g"}


def is_pinned(fields: Fields, text: str) -> bool:
    """Tell whether anything was said of a line."""
    return len(pinned(fields, text)) > 1
