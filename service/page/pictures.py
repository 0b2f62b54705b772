"""Pictures of the page: addresses that hold a whole question, answered by its drawing: the flat
piece in true size. What is drawn is the questions' own."""

import json
from typing import Any
from urllib.parse import urlencode

from models.brief import Brief
from service.drawings.pages import Paper
from service.page.card import Baked

TEMPLATE_PATH = "/page/template.svg"
MOST_CHARACTERS = 30_000
"""A longer address is refused by the server's own limit on a request's head."""


def template_address(brief: Brief, baked: Baked | None, paper: Paper) -> str | None:
    """Return where the flat piece is drawn on that paper; None without a form."""
    if brief.target is None:
        return None
    target = brief.target
    if baked and baked.sheet:
        target = target.rolled(baked.sheet.thickness_mm, chilled=baked.sheet.chilled)
    return _address(TEMPLATE_PATH, {"target": target.model_dump(mode="json"), "paper": paper})


def _address(path: str, question: dict[str, Any]) -> str | None:
    written = json.dumps(question, ensure_ascii=False, separators=(",", ":"))
    address = f"{path}?{urlencode({'q': written})}"
    return address if len(address) <= MOST_CHARACTERS else None
