"""The parts of a recipe: which lines stand under which heading, and which part is the dough.

The dough is the part with the most flour, or the one that is asked for. What is named as going on,
in or beside the baked dough, and every other part with flour of its own, is set aside; a starter is
of the dough. A heading that only groups ingredients ("dry", "wet") divides nothing.
"""

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from models.reading.aside import SetAside, heading_of, is_finish, set_aside
from models.reading.line import Reading
from models.reading.page_words import opens

Understood = Reading | SetAside

_OF_THE_DOUGH = re.compile(
    r"\b(?:dry|wet|liquids?|starter|preferment|pre-ferment|poolish|levain|biga|tangzhong|soaker"
    r"|(?:vor|sauer)teig|quellst[üu]ck|kochst[üu]ck|br[üu]hst[üu]ck|trockene? zutaten"
    r"|fl[üu]ssige? zutaten"
    r"|sec(?:s|he|hes)?|liquides?|humides?)\b",
    re.IGNORECASE,
)
"""Headings of parts that go into the dough whole, even with flour of their own."""
_FOR = re.compile(r"\W*(?:for|für|pour)\b", re.IGNORECASE)


def parts_of(
    texts: Sequence[str], lines: Sequence[Understood], title: int | None = None
) -> tuple[str | None, ...]:
    """Return the heading that each line stands under, None above the first.

    The title at `title`, and a heading such as "Ingredients", name no part.
    """
    parts: list[str | None] = []
    part: str | None = None
    for at, (text, line) in enumerate(zip(texts, lines, strict=True)):
        if at != title and isinstance(line, SetAside) and line.aside.code == "heading":
            part = None if opens(text) is not None else heading_of(text) or text.strip()
        parts.append(part)
    return tuple(parts)


def without_other_parts(
    parts: Sequence[str | None], lines: Sequence[Understood], wanted: str | None
) -> tuple[Understood, ...]:
    """Return the lines with those of other parts than the dough set aside."""
    if not any(parts):
        return tuple(lines)
    asked = wanted is not None and wanted in parts
    dough = wanted if asked else _most_floury(parts, lines)
    others = {
        part
        for part in dict.fromkeys(parts)
        if part != dough and (asked or (part is not None and _is_other(part, dough, parts, lines)))
    }
    return tuple(
        _of_other_part(part) if part in others and _measures(line) else line
        for part, line in zip(parts, lines, strict=True)
    )


def flour_in(lines: Iterable[Understood]) -> Fraction:
    """Return the grams of flour in the lines that count."""
    return sum(
        (
            part.grams
            for line in lines
            if isinstance(line, Reading)
            for part in line.amount.parts
            if part.ingredient.role == "flour"
        ),
        Fraction(0),
    )


def _measures(line: Understood) -> bool:
    return isinstance(line, Reading) or line.is_doubtful


def _of_other_part(part: str | None) -> SetAside:
    where = "above the parts" if part is None else f'under "{part}"'
    return set_aside("other_part", f"It stands {where}, which is no part of the dough.")


def _is_other(
    part: str, dough: str | None, parts: Sequence[str | None], lines: Sequence[Understood]
) -> bool:
    if is_finish(part):
        return True
    if _OF_THE_DOUGH.search(part):
        return False
    named = _FOR.match(part) and _FOR.match(dough or "")  # for the biscuits, for the windows
    return bool(named) or _flour_of(part, parts, lines) > 0


def _most_floury(parts: Sequence[str | None], lines: Sequence[Understood]) -> str | None:
    names = list(dict.fromkeys(parts))
    candidates = [name for name in names if name is None or not is_finish(name)] or names
    return max(candidates, key=lambda part: _flour_of(part, parts, lines))


def _flour_of(
    part: str | None, parts: Sequence[str | None], lines: Sequence[Understood]
) -> Fraction:
    return flour_in(line for name, line in zip(parts, lines, strict=True) if name == part)
