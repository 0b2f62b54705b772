"""Units as written: their words, points and abbreviations at one place of a line.

What number stands before a unit is the business of `models.reading.quantities`.
"""

from fractions import Fraction
from typing import NamedTuple

from models.reading.kitchen_words import FRENCH_HANDLES, FRENCH_SPOONS, UNITS
from models.reading.tokens import TokenLine


class WrittenUnit(NamedTuple):
    """A unit of `models.measures`, how many of it the word stands for, and the place after it."""

    key: str
    per_word: Fraction
    end: int


def read_unit(line: TokenLine, at: int) -> WrittenUnit | None:
    """Return the unit whose word opens at `at`, or None."""
    text, plain = line[at].text, line[at].plain
    if plain in {"fl", "fluid"}:
        return _fluid_ounce(line, past_point(line, at + 1))
    if plain in FRENCH_HANDLES:
        spoon = _french_spoon(line, past_point(line, at + 1))
        if spoon is not None:
            return spoon
    if text in {"T", "t"}:  # the one place where capitals count: tablespoon and teaspoon
        return WrittenUnit("tbsp" if text == "T" else "tsp", Fraction(1), past_point(line, at + 1))
    unit = UNITS.get(plain)
    return None if unit is None else WrittenUnit(*unit, past_point(line, at + 1))


def past_point(line: TokenLine, at: int) -> int:
    """Return the place after the point that closes an abbreviation, if there is one at `at`."""
    return at + 1 if line[at].text == "." and line.touches(at) else at


def past_words(line: TokenLine, at: int, words: frozenset[str]) -> int:
    """Step over up to three of `words` with their points; no cook writes more, and it is linear."""
    for _ in range(3):
        if line[at].plain not in words:
            break
        at = past_point(line, at + 1)
    return at


def _fluid_ounce(line: TokenLine, at: int) -> WrittenUnit | None:
    if UNITS.get(line[at].plain, ("", Fraction(0)))[0] != "oz":
        return None
    return WrittenUnit("fl_oz", Fraction(1), past_point(line, at + 1))


def _french_spoon(line: TokenLine, at: int) -> WrittenUnit | None:
    size = past_point(line, at + 1)
    spoon = FRENCH_SPOONS.get(line[size].plain)
    if line[at - 1].text == "." and line[at].plain in {"s", "c"} and line.touches(at):
        return WrittenUnit(FRENCH_SPOONS[line[at].plain], Fraction(1), past_point(line, at + 1))
    if line[at].plain != "à" or spoon is None:
        return None
    return WrittenUnit(spoon, Fraction(1), past_point(line, size + 1))
