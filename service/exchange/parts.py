"""Parts: which lines of a recipe are plainly no part of its dough.

Recipes from elsewhere have headings between their lines, and an icing below the dough. A heading
is no ingredient; what stands under the heading of an icing is none of the dough's. Everything else
that cannot be read may belong to the dough, and then the recipe is not read at all. The words here
are common practice, no source.
"""

import re
from collections.abc import Sequence

from models.ingredient import Role
from models.pantry import Pantry
from models.reading import UnreadableLine
from models.reading.kitchen_words import PACKS, VAGUE
from models.reading.naming import find_name
from models.reading.numerals import read_numeral
from models.reading.tokens import Line
from models.reading.units import read_unit
from models.recipe import MAX_LINE_CHARACTERS

NO_LINES = "The recipe has no ingredients. Write each on a line of its own."

_HEADING = "This is a heading, not an ingredient."
_FINISH = re.compile(
    r"\b(icings?|glazes?|frostings?|fillings?|toppings?|decorations?|decorat(?:e|ing)|garnish\w*"
    r"|egg wash|coatings?|dusting|finish(?:ing)?|assembl\w*|serving|to serve|buttercream"
    r"|ganache)\b",
    re.IGNORECASE,
)
_BESIDE_THE_DOUGH = re.compile(
    r"\b(?:for|to)\b.{0,40}\b(?:dust|dusting|rolling|greasing|grease|brushing|brush|sprinkling"
    r"|serving|serve|decorating|decorate|garnish|tin|pan|tray|board|work ?surface)\b",
    re.IGNORECASE,
)
_DOUGH = re.compile(r"\bdough\b", re.IGNORECASE)
_LABEL = re.compile(r"\s*([^\W\d_][^:\d]{0,60}):\s*(\S?)", re.DOTALL)
_MARKED = re.compile(
    r"\s*(?:#{1,6}\s|\*\*|__|[-=–—*]{2,})\s*([^\d]{1,80}?)\s*[#*_=–—-]*\s*", re.DOTALL
)

_COUNTED: frozenset[Role] = frozenset(
    {"flour", "fat", "sugar", "syrup", "egg", "liquid", "leavener", "cocoa"}
)
"""Roles that a ratio counts; a line without an amount that names one of them may matter."""


def set_aside(lines: Sequence[str]) -> dict[int, str]:
    """Return the positions of lines that are not the dough's, each with the reason."""
    aside: dict[int, str] = {}
    finish = ""
    for at, text in enumerate(lines):
        heading = _heading_of(text)
        if heading is not None:
            finish = heading if _is_finish(heading) else ""
            aside[at] = _HEADING
        elif finish:
            aside[at] = f'It stands under "{finish}", which is no part of the dough.'
        elif (label := _LABEL.match(text)) is not None and _is_finish(label[1]):
            aside[at] = f'It is marked "{label[1].strip()}", which is no part of the dough.'
    return aside


def says_no_amount(text: str, shelf: Pantry) -> bool:
    """Tell whether an unreadable line has no amount and nothing in it that the dough may need."""
    if len(text) > MAX_LINE_CHARACTERS:
        return False
    line = Line(text)
    if any(_opens_amount(line, at) for at in range(len(line))):
        return False
    if _BESIDE_THE_DOUGH.search(text) is not None:
        return True
    if any(token.plain in VAGUE | PACKS for token in line):
        return False
    named = find_name(line, 0, len(line), shelf)
    return named is None or named.ingredient.role not in _COUNTED


def _heading_of(text: str) -> str | None:
    """Return what a heading says, or None where the line is no heading."""
    if len(text) > 200:
        return None
    label = _LABEL.fullmatch(text.rstrip("*_ \t"))
    if label is not None and not label[2]:
        return label[1].strip("*_# \t")
    marked = _MARKED.fullmatch(text)
    if marked is not None:
        return marked[1].rstrip(":").strip()
    bare = text.strip()
    is_for = bare.casefold().startswith(("for the ", "for "))
    words_only = not any(c.isdigit() for c in bare) and len(bare.split()) <= 5
    if is_for and words_only and (_FINISH.search(bare) or _DOUGH.search(bare)):
        return bare
    return None


def _is_finish(heading: str) -> bool:
    return _FINISH.search(heading) is not None and _DOUGH.search(heading) is None


def _opens_amount(line: Line, at: int) -> bool:
    if line[at].kind == "number" or read_unit(line, at) is not None:
        return True
    try:
        return read_numeral(line, at) is not None
    except UnreadableLine:
        return True
