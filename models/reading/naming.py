"""Which ingredient a run of words names: the longest part of it that the pantry knows.

The words left over are judged in `models.reading.remarks`.
"""

from typing import NamedTuple

from models.ingredient import Ingredient
from models.measures import EGG_PIECES
from models.pantry import Pantry, fold
from models.reading.kitchen_words import HEAD_ENDS, OF, ROASTED, SIZES
from models.reading.tokens import DASHES, TokenLine

MAX_TOKENS_SEARCHED = 40  # a name stands early in its phrase; what follows is remarks
MAX_TOKENS_NAMED = 10  # "old-fashioned rolled oats" is five

_ENDINGS = ("", "er", "e", "es")
"""What a German word of kind has before its thing and not behind it: brauner Zucker."""
_MARKS_IN_NAMES = frozenset(",.%'’") | DASHES


class Named(NamedTuple):
    """An ingredient and the tokens that name it."""

    ingredient: Ingredient
    start: int
    end: int


def find_whole_name(line: TokenLine, start: int, end: int, pantry: Pantry) -> Ingredient | None:
    """Return the ingredient that all the tokens from `start` up to `end` together name, or None.

    The pantry is deaf to marks; strange ones must be in a name of it, lest one be passed over.
    """
    text = line.between(start, end)
    found = pantry.find(text)
    if found is None and "-" in text:
        found = pantry.find(text.replace("-", ""))  # Kakao-Pulver is Kakaopulver
    if found is None:
        return None
    marks = {line[at].text for at in range(start, end) if line[at].kind == "mark"}
    names = (found.name, *found.aliases)
    strange = marks - _MARKS_IN_NAMES
    return found if all(any(mark in name for name in names) for mark in strange) else None


def find_name(line: TokenLine, start: int, end: int, pantry: Pantry) -> Named | None:
    """Return what the tokens from `start` up to `end` name, and where, or None.

    The name proper comes first: of "milk or water" the milk. Within it the longest known name
    counts, and of two as long the later, as English puts the thing after its kind.
    """
    end = min(end, start + MAX_TOKENS_SEARCHED)
    turned = _turned_at_comma(line, start, end, pantry)
    if turned is not None:
        return turned
    head_end = next((at for at in range(start + 1, end) if _ends_head(line, at)), end)
    return (
        _without_roasting(line, start, head_end, pantry)
        or _longest(line, range(start, head_end), end, pantry)
        or _longest(line, range(head_end, end), end, pantry)
    )


def find_piece(line: TokenLine, start: int, end: int, pantry: Pantry) -> Named | None:
    """Return the part of an egg that counted words name: whites, white of egg, large yolks."""
    piece = pantry.find(line[start].text) if line[start].kind == "word" else None
    if piece is None or piece.unit_name not in EGG_PIECES[1:]:
        return None
    rest = {line[at].plain for at in range(start + 1, end)}
    if piece.unit_name != fold(line[start].text) or not rest <= SIZES | {"egg", "eggs"}:
        return None
    return Named(piece, start, end)


def find_turned_name(part: str, whole: str, pantry: Pantry) -> Ingredient | None:
    """Return what "whites of" and "eggs" name together: egg whites; or None."""
    words = part.casefold().removeprefix("the ").split()
    if not words or words[-1] not in OF:
        return None
    said = {"large", "a", "an"}  # the size meant anyway, and half "a" lemon
    of_what = " ".join(word for word in whole.split() if word.casefold() not in said)
    return pantry.find(f"{of_what} {' '.join(words[:-1])}")


def find_kind(kind: str, thing: str, pantry: Pantry) -> Ingredient | None:
    """Return what "braun" behind "Zucker" makes of it: brown sugar; None for nothing known."""
    turned = (pantry.find(f"{kind}{ending} {thing}") for ending in _ENDINGS)
    return next((found for found in turned if found is not None), None)


def _turned_at_comma(line: TokenLine, start: int, end: int, pantry: Pantry) -> Named | None:
    """Return what "sugar, brown, packed" names when turned about: the brown sugar."""
    near = range(start, min(end, start + MAX_TOKENS_NAMED))
    commas = [at for at in near if line[at].text == ","]
    if not commas:
        return None
    stop = commas[1] if len(commas) > 1 else end
    if stop - start > MAX_TOKENS_NAMED:
        return None
    ingredient = None
    if all(
        line[at].kind == "word" or line[at].text in DASHES
        for at in range(start, stop)
        if at not in commas
    ):
        kind, thing = line.between(commas[0] + 1, stop), line.between(start, commas[0])
        ingredient = find_kind(kind, thing, pantry)
    return None if ingredient is None else Named(ingredient, start, stop)


def _without_roasting(line: TokenLine, start: int, end: int, pantry: Pantry) -> Named | None:
    """Return what "ground toasted hazelnuts" names: the ground ones, toasted or not."""
    kept = range(start, min(end, start + MAX_TOKENS_NAMED))
    bare = [at for at in kept if line[at].plain not in ROASTED]
    if len(bare) in (0, len(kept)) or len(kept) < end - start:
        return None
    found = pantry.find(" ".join(line[at].text for at in bare))
    return None if found is None else Named(found, start, end)


def _ends_head(line: TokenLine, at: int) -> bool:
    spaced_dash = line[at].text in DASHES and not line.touches(at)
    return line[at].text in {",", ";", "/"} or line[at].plain in HEAD_ENDS or spaced_dash


def _longest(line: TokenLine, starts: range, end: int, pantry: Pantry) -> Named | None:
    """Search the runs that open within `starts` and reach no further than `end`."""
    for length in range(min(MAX_TOKENS_NAMED, end - starts.start), 0, -1):
        for start in range(min(starts.stop - 1, end - length), starts.start - 1, -1):
            stop = start + length
            if line[start].kind == "mark" or line[stop - 1].kind == "mark":
                continue
            ingredient = find_whole_name(line, start, stop, pantry)
            if ingredient is not None:
                return Named(ingredient, start, stop)
    return None
