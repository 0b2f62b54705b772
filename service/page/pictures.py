"""Pictures of the page: addresses that hold a whole question, answered by its drawing: the flat
piece in true size. What is drawn is the questions' own."""

import json
from io import BytesIO
from typing import Any
from urllib.parse import urlencode

import segno

from models.batch import Pieces
from models.brief import Brief
from models.recipe import Title
from models.target import Target
from models.template import DOUGH_DENSITY, template
from models.value import Value
from service.drawings.pages import Paper
from service.drawings.printed_sheets import PrintedSheets, draw_sheets
from service.page.card import UNTITLED, Baked

TEMPLATE_PATH, CODE_PATH = "/page/template", "/page/code.svg"
MOST_CODED_CHARACTERS = 1500
"""A longer address makes a code too fine to be read off a card; judgement."""

MOST_CHARACTERS = 30_000
"""A longer address is refused by the server's own limit on a request's head."""


class Printing(Value):
    """What is printed as a template: for which sheet, on which paper, of which recipe."""

    target: Target
    paper: Paper = "a4"
    title: Title = ""
    pieces: Pieces = 1


def printed_template(asked: Printing) -> PrintedSheets:
    """Return the pages of a template."""
    count = f"{asked.pieces} pieces" if asked.pieces > 1 else "1 piece"
    of = f"{asked.title or UNTITLED} · {count}"
    return draw_sheets(asked.target, template(asked.target, DOUGH_DENSITY), asked.paper, of)


def template_address(brief: Brief, baked: Baked | None, paper: Paper) -> str | None:
    """Return where the flat piece is printed on that paper; None without a form."""
    if brief.target is None:
        return None
    target = brief.target
    if baked and baked.sheet:
        target = target.rolled(baked.sheet.thickness_mm, chilled=baked.sheet.chilled)
    shown = target.model_dump(mode="json", include={"form", "thickness_mm"})
    asked: dict[str, Any] = {"target": shown, "paper": paper, "title": brief.recipe.title or ""}
    if brief.batch and brief.batch.pieces:
        asked["pieces"] = brief.batch.pieces
    return _address(TEMPLATE_PATH, asked)


def code_address(share: str) -> str | None:
    """Return where a code of the shared address is drawn; None where it would be too fine."""
    query = share.partition("?")[2].partition("#")[0]
    return f"{CODE_PATH}?{query}" if len(query) <= MOST_CODED_CHARACTERS else None


def drawn_code(address: str) -> bytes:
    """Return the code that leads to an address, as SVG."""
    drawn = BytesIO()
    segno.make(address, error="l", boost_error=False, micro=False).save(
        drawn, kind="svg", border=2, xmldecl=False, svgclass=None, lineclass=None
    )
    return drawn.getvalue()


def _address(path: str, question: dict[str, Any]) -> str | None:
    written = json.dumps(question, ensure_ascii=False, separators=(",", ":"))
    address = f"{path}?{urlencode({'q': written})}"
    return address if len(address) <= MOST_CHARACTERS else None
