"""The parts of a recipe: which lines stand under which heading, and which part is the dough.

The dough is the part with the most flour, or the one that is asked for. What is named as going on,
in or beside the baked dough, and every other part with flour of its own, is set aside. A heading
that only groups ingredients ("dry", "wet") divides nothing.
"""

from collections.abc import Sequence
from fractions import Fraction

from models.reading.aside import SetAside, heading_of, is_finish, set_aside
from models.reading.line import Reading

Understood = Reading | SetAside


def parts_of(texts: Sequence[str], understood: Sequence[Understood]) -> list[str | None]:
    """Return the heading that each line stands under, None above the first."""
    parts: list[str | None] = []
    part: str | None = None
    for text, line in zip(texts, understood, strict=True):
        if isinstance(line, SetAside) and line.aside.code == "heading":
            part = heading_of(text)
        parts.append(part)
    return parts


def without_other_parts(
    texts: Sequence[str], understood: Sequence[Understood], wanted: str | None
) -> tuple[Understood, ...]:
    """Return the lines with those of other parts than the dough set aside."""
    parts = parts_of(texts, understood)
    if not any(parts):
        return tuple(understood)
    dough = wanted if wanted in parts else _most_floury(parts, understood)
    return tuple(
        set_aside("other_part", f'It stands under "{part}", which is no part of the dough.')
        if isinstance(line, Reading) and _is_other(part, dough, wanted, parts, understood)
        else line
        for part, line in zip(parts, understood, strict=True)
    )


def _is_other(
    part: str | None,
    dough: str | None,
    wanted: str | None,
    parts: Sequence[str | None],
    understood: Sequence[Understood],
) -> bool:
    if part == dough:
        return False
    if wanted is not None and wanted in parts:
        return True
    return part is not None and (is_finish(part) or _flour(part, parts, understood) > 0)


def _most_floury(parts: Sequence[str | None], understood: Sequence[Understood]) -> str | None:
    names = list(dict.fromkeys(parts))
    candidates = [name for name in names if name is None or not is_finish(name)] or names
    return max(candidates, key=lambda part: _flour(part, parts, understood))


def _flour(
    part: str | None, parts: Sequence[str | None], understood: Sequence[Understood]
) -> Fraction:
    return sum(
        (
            line.amount.grams
            for name, line in zip(parts, understood, strict=True)
            if name == part and isinstance(line, Reading) and line.ingredient.role == "flour"
        ),
        Fraction(0),
    )
