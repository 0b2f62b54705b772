"""Pictures of the page: addresses that hold a whole question, answered by its drawing.

The section before and after, and the flat piece in true size; what is drawn is the questions' own.
"""

import json
from typing import Any
from urllib.parse import urlencode

from models.brief import Brief
from models.outcome import Outcome
from service.drawings.pages import Paper
from service.page.card import written_recipe

SECTION_PATH, TEMPLATE_PATH = "/page/section.svg", "/page/template.svg"
MOST_CHARACTERS = 30_000
"""A longer address is refused by the server's own limit on a request's head."""


def section_address(brief: Brief, outcome: Outcome) -> str | None:
    """Return where the section is drawn; None where nothing can be."""
    if brief.target is None or outcome.form is None or outcome.form.before is None:
        return None
    target = brief.target.model_dump(mode="json")
    recipes = {"As written": brief.recipe.model_dump(mode="json", include={"lines"})}
    if outcome.outcome in {"reformulated", "unfinished"} and outcome.ratios.after:
        recipes["Changed"] = written_recipe(brief, outcome)
    states = [{"recipe": r, "target": target, "label": label} for label, r in recipes.items()]
    return _address(SECTION_PATH, {"states": states, "stacked": True})


def template_address(brief: Brief, paper: Paper) -> str | None:
    """Return where the flat piece is drawn on that paper; None without a form."""
    if brief.target is None:
        return None
    target = brief.target.model_dump(mode="json")
    return _address(TEMPLATE_PATH, {"target": target, "paper": paper})


def _address(path: str, question: dict[str, Any]) -> str | None:
    written = json.dumps(question, ensure_ascii=False, separators=(",", ":"))
    address = f"{path}?{urlencode({'q': written})}"
    return address if len(address) <= MOST_CHARACTERS else None
