"""A recipe as a whole: what its lines mean among their neighbours.

A line under "Method" weighs nothing out, whatever it says; what stands above "Ingredients" is the
page's; the part with the most flour is the dough. What a line means by itself is
`models.reading.aside`, which part is the dough `models.reading.parts`.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from models.reading.aside import (
    PART_ALONE,
    SetAside,
    heading_of,
    is_named_part,
    set_aside,
    weighs_out,
)
from models.reading.kitchen_words import PACKETS, UNITS
from models.reading.line import Reading
from models.reading.page_words import Stretch, is_furniture, opens, yield_in
from models.reading.parts import Understood, flour_in, parts_of, without_other_parts

_ENDS_AS_FINISH = re.compile(
    r"(?:\b(?:frosting|icing|glaze|filling|topping|glaçage|garniture)|glasur|guss|füllung"
    r"|verzierung|dekoration)$",
    re.I,
)
_NUMBERING = re.compile(r"\s*(\d{1,2})(?: ?[-–:)]|\.)\s+(?=\S)")
FEWEST_NUMBERED = 2
"""Times that one number follows the last before they are taken to count the lines."""
LONGEST_TITLE = 120
LONGEST_FOOD = 12
"""Words of a line that names a food under its amount."""
_BULLETS = " \t-–—•*◦▪▢□☐"
_UNITS = "|".join(sorted(map(re.escape, (*UNITS, *PACKETS)), key=len, reverse=True))
_AMOUNT_ALONE = re.compile(
    rf"\W*(?:\d+(?:[.,]\d+)?(?: \d+/\d+|/\d+)?|\d* ?[¼½¾⅓⅔⅛])(?: ?[-–] ?\d+)?"
    rf" ?(?:[^\W\d_]{{3,10}} )?"
    rf"(?:{_UNITS})\.?(?: (?:ground|chopped|grated|of|de|packed|melted|softened|finely))*\s*",
    re.IGNORECASE,
)
_OPENS_WITH_FOOD = re.compile(r"[\W_]*(?:[^\W\d_]{3,}|plus\b|d['’])")
_BULLET = re.compile(r"^\s*[-–—−]\s*(?=[\w½¼¾⅓⅔⅛])")


@dataclass(frozen=True, slots=True)
class Whole:
    """The lines of a recipe understood together, with the part that each stands under."""

    lines: tuple[Understood, ...]
    parts: tuple[str | None, ...]
    title: str | None
    makes: str | None


NO_LINES = Whole((), (), None, None)
"""What there is to understand of nothing."""


def understand_whole(
    texts: Sequence[str],
    understood: Sequence[Understood],
    wanted: str | None,
    fixed: Sequence[bool],
) -> Whole:
    """Return what the lines mean together; `wanted` names the part that is the dough.

    A line that is `fixed` was not read: no method above it sets it aside.
    """
    stretches = _stretches(texts, understood)
    lines = _by_stretch(texts, understood, stretches)
    lines = [
        old if stays else new for old, new, stays in zip(understood, lines, fixed, strict=True)
    ]
    if not flour_in(lines) and flour_in(understood):  # a recipe that follows its own method
        lines = list(understood)
    title = _title(texts, lines)
    if title is not None:
        lines[title] = set_aside("heading")
    parts = parts_of(texts, lines, title)
    return Whole(
        lines=without_other_parts(parts, lines, wanted),
        parts=parts,
        title=None if title is None else _plain(texts[title]),
        makes=next((said for text in texts if (said := yield_in(text))), None),
    )


def without_bullets(texts: Sequence[str]) -> list[str]:
    """Return the lines without dashes that open several of them: a list, and no amounts below 0."""
    listed = sum(_BULLET.match(text) is not None for text in texts) > 1
    bare = [_BULLET.sub("", text) if listed else text for text in texts]
    return _without_numbering(bare)


def _without_numbering(texts: list[str]) -> list[str]:
    """Return the lines without the numbers that count them: "01 - 2 cups flour", "02 - 1 egg"."""
    numbers = [_NUMBERING.match(text) for text in texts]
    counted = [int(one[1]) for one in numbers if one is not None]
    rising = sum(later == earlier + 1 for earlier, later in pairwise(counted))
    if rising < FEWEST_NUMBERED or rising < len(counted) // 2:
        return texts
    return [
        text if one is None else text[one.end() :] for text, one in zip(texts, numbers, strict=True)
    ]


def with_amounts_above(texts: Sequence[str], fixed: Sequence[bool]) -> tuple[list[str], set[int]]:
    """Return the lines with an amount that stands alone above its food put before the food.

    Pages that lay amounts and foods out in boxes of their own are pasted so. Also where the amounts
    stood: what they said is read one line further down.
    """
    joined, spent = list(texts), set()
    for at, text in enumerate(texts[:-1]):
        under = texts[at + 1]
        if fixed[at] or fixed[at + 1] or not _AMOUNT_ALONE.fullmatch(text):
            continue
        if under.strip() and len(under.split()) <= LONGEST_FOOD and _OPENS_WITH_FOOD.match(under):
            joined[at + 1] = f"{text.strip()} {under.strip(_BULLETS)}"
            spent.add(at)
    return joined, spent


def _stretches(texts: Sequence[str], understood: Sequence[Understood]) -> list[Stretch | None]:
    """Return the stretch that each line stands in; None for what is above the ingredients."""
    announced = any(opens(text) == "ingredients" for text in texts)
    stretch: Stretch | None = None if announced else "ingredients"
    found: list[Stretch | None] = []
    for at, text in enumerate(texts):
        opened = opens(text) if isinstance(understood[at], SetAside) else None
        if opened is not None:
            stretch = opened
        elif stretch != "ingredients" and _opens_part(at, texts, understood):
            stretch = "ingredients"
        found.append(stretch)
    return found


def _opens_part(at: int, texts: Sequence[str], understood: Sequence[Understood]) -> bool:
    """Whether a heading of a part stands at `at`, with what is weighed out right under it."""
    named = heading_of(texts[at]) if isinstance(understood[at], SetAside) else None
    if named is None or not is_named_part(named):
        return False
    return at + 1 < len(texts) and isinstance(understood[at + 1], Reading)


def _by_stretch(
    texts: Sequence[str], understood: Sequence[Understood], stretches: Sequence[Stretch | None]
) -> list[Understood]:
    begun = not any(map(_is_plain, understood))
    lines: list[Understood] = []
    for at, (text, line, stretch) in enumerate(zip(texts, understood, stretches, strict=True)):
        opened = isinstance(line, SetAside) and opens(text) is not None
        loud = stretch == "ingredients" and _is_loud_heading(at, texts, understood)
        if opened or loud:
            lines.append(set_aside("heading"))
        elif stretch == "ingredients":
            begun = begun or _is_plain(line)
            lines.append(line if begun else _before_the_first(text, line))
        elif isinstance(line, SetAside) and line.aside.code in ("heading", "not_food"):
            lines.append(line)
        else:
            lines.append(set_aside("not_food" if stretch == "method" else "note"))
    return lines


def _is_loud_heading(at: int, texts: Sequence[str], understood: Sequence[Understood]) -> bool:
    """Whether a few words in capitals stand over something that is weighed out."""
    text, line = texts[at].strip(), understood[at]
    if not isinstance(line, SetAside) or len(text.split()) > 4:
        return False
    if _ENDS_AS_FINISH.search(text) and line.aside.code == "no_amount":
        below = [under for under in understood[at + 1 : at + 4] if under is not line]
        return sum(isinstance(under, Reading) for under in below) > 1
    if not text.isupper() or len(text.split()) > 3:
        return False
    bare = line.aside.code == "no_amount" and not any(letter.isdigit() for letter in text)
    return bare and at + 1 < len(texts) and isinstance(understood[at + 1], Reading)


def _is_plain(line: Understood) -> bool:
    if not isinstance(line, Reading):
        return False
    return line.uncertain is None or line.uncertain.code != "unknown_food"


def _before_the_first(text: str, line: Understood) -> Understood:
    """Return what opens a recipe: words with a number but without a measure are the page's."""
    in_doubt = isinstance(line, SetAside) and line.is_doubtful
    return set_aside("note") if in_doubt and not weighs_out(text) else line


def _title(texts: Sequence[str], lines: Sequence[Understood]) -> int | None:
    """Return where the title stands: the first line that is only words, above all amounts."""
    for at, (text, line) in enumerate(zip(texts, lines, strict=True)):
        if isinstance(line, Reading) or opens(text) is not None:
            return None
        if not text or len(text) > LONGEST_TITLE or is_furniture(text):
            continue
        if line.aside.code in ("no_amount", "note"):
            return at
        if line.aside.code == "heading":
            named = heading_of(text)
            return None if named is not None and _is_a_part(text) else at
    return None


def _plain(title: str) -> str:
    """Return a title without marks around it, and without what nobody can read."""
    legible = "".join(each if each.isprintable() else " " for each in title)
    return " ".join(legible.strip(" #*_=").split())


def _is_a_part(text: str) -> bool:
    if PART_ALONE.fullmatch(text.strip()):
        return True
    return text.rstrip().endswith(":") or text.casefold().startswith(("for the", "für d", "pour l"))
