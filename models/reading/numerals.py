"""Numbers as cooks write them: 3 1/2, 1-1/2, 1,5, 2 to 3, half a dozen, one and a half.

What is counted, and whether a number belongs to an amount at all, is the business of
`quantities`; only a strength ("2% milk", "80 proof") and half-and-half are passed over here.
"""

from fractions import Fraction
from typing import NamedTuple

from models.reading.doubts import UnreadableLine, quoted
from models.reading.tokens import DASHES, TokenLine

_ONES = {
    word: Fraction(value)
    for value, words in {
        1: "one ein eine einen einem einer un une",
        2: "two zwei deux",
        3: "three drei trois",
        4: "four vier quatre",
        5: "five fünf cinq",
        6: "six sechs",
        7: "seven sieben sept",
        8: "eight acht huit",
        9: "nine neun neuf",
        10: "ten zehn dix",
        11: "eleven elf onze",
        12: "twelve zwölf douze dutzend",
        15: "fifteen",
        16: "sixteen",
        18: "eighteen",
    }.items()
    for word in words.split()
}
_ONES |= {
    word: Fraction(2 * whole + 1, 2)
    for whole, words in {
        1: "eineinhalb anderthalb einundeinhalb",
        2: "zweieinhalb",
        3: "dreieinhalb",
        4: "viereinhalb",
    }.items()
    for word in words.split()
}
_TENS = {
    "twenty": Fraction(20),
    "thirty": Fraction(30),
    "forty": Fraction(40),
    "fifty": Fraction(50),
}
_SHARES = {
    word: Fraction(1, parts)
    for parts, words in {
        2: "half halves halfs halbe halber halbes halben demi demie",
        3: "third thirds",
        4: "quarter quarters fourth fourths viertel",
        5: "fifth fifths",
        6: "sixth sixths",
        8: "eighth eighths",
    }.items()
    for word in words.split()
}
_PLURAL_SHARES = frozenset(word for word in _SHARES if word.endswith("s"))
_ARTICLES = frozenset({"a", "an"})
_AND = frozenset({"and", "&"})
_MIXING = DASHES | _AND | {"+"}
_RANGING = DASHES | {"to", "or", "bis", "à"}
_STRENGTHS = frozenset({"%", "‰", "percent", "proof", "°"})

MAX_DIGITS = 12  # more than any kitchen needs, few enough to reckon with at once
FINEST_SHARE = 64  # a spoon is never cut finer; "250/300 g" is no fraction but a choice


class Numeral(NamedTuple):
    """A number and the place after it.

    `thousands` is the other number it may be ("1,250"), `comma` whether a comma makes it so;
    a range has its middle for its value.
    """

    value: Fraction
    end: int
    thousands: Fraction | None = None
    comma: bool = False
    ranged: bool = False


def read_numeral(line: TokenLine, at: int) -> Numeral | None:
    """Return the number that opens at `at`, or None; raise UnreadableLine for a broken one."""
    if line[at].plain == "between":
        found = _range(line, at + 1, _AND)
    else:
        found = _range(line, at, _RANGING)
    if found is not None and line[found.end].plain == "dozen":
        return found._replace(value=12 * found.value, end=found.end + 1)
    return found


def is_article(line: TokenLine, at: int) -> bool:
    """Whether the token is "a" or "an", which count one."""
    return line[at].plain in _ARTICLES


def _range(line: TokenLine, at: int, connectors: frozenset[str]) -> Numeral | None:
    low = _single(line, at)
    if low is None or line[low.end].plain not in connectors:
        return low
    after = low.end + 2 if line[low.end + 1].text in DASHES else low.end + 1  # 2--3
    high = None if is_article(line, after) else _single(line, after)
    if high is None:
        return low
    thousands = None
    if low.thousands is not None or high.thousands is not None:
        thousands = ((low.thousands or low.value) + (high.thousands or high.value)) / 2
    middle = (low.value + high.value) / 2
    return Numeral(middle, high.end, thousands, low.comma or high.comma, ranged=True)


def _single(line: TokenLine, at: int) -> Numeral | None:
    kind = line[at].kind
    if kind == "number" and not _is_strength(line, at):
        _refuse_exponent(line, at)
        return _fraction(line, at) or _whole_and_part(line, at, _decimal(line, at))
    if kind == "word":
        alone = line[at].plain not in _PLURAL_SHARES  # pecan halves are no number
        return (_share_word(line, at) if alone else None) or _words(line, at)
    return None


def _is_strength(line: TokenLine, at: int) -> bool:
    """Whether the number is a grade: "2%", "70-85%", "80-proof", "180°", flour "00"."""
    text = line[at].text
    if len(text) > 1 and not text.strip("0"):
        return True
    if line[at + 1].text in DASHES and line[at + 2].kind == "number":
        at += 2
    after = at + 2 if line[at + 1].text in DASHES else at + 1
    return line[after].plain in _STRENGTHS


def _decimal(line: TokenLine, at: int) -> Numeral:
    """Read figures with points or commas; three figures after the only mark may be thousands."""
    text = line[at].text
    groups = text.replace(",", ".").split(".")
    if sum(map(len, groups)) > MAX_DIGITS:
        raise _broken(text, "it has too many figures for a kitchen")
    marks = [character for character in text if character in ".,"]
    in_threes = 1 <= len(groups[0]) <= 3 and all(len(group) == 3 for group in groups[1:-1])
    if len(marks) < 2:
        value = Fraction(f"{groups[0] or 0}.{groups[-1] if marks else 0}")
        doubtful = marks and in_threes and len(groups[1]) == 3 and groups[0][0] != "0"
        thousands = Fraction("".join(groups)) if doubtful else None
        return Numeral(value, at + 1, thousands, comma="," in marks)
    if in_threes and len(set(marks)) == 1 and len(groups[-1]) == 3:
        return Numeral(Fraction("".join(groups)), at + 1)
    if in_threes and len(set(marks[:-1])) == 1 and marks[-1] != marks[0]:
        return Numeral(Fraction("".join(groups[:-1]) + "." + groups[-1]), at + 1)
    raise _broken(text, "its points and commas do not agree")


def _fraction(line: TokenLine, at: int) -> Numeral | None:
    if line[at].kind != "number" or line[at + 1].text != "/" or line[at + 2].kind != "number":
        return None
    top, bottom = line[at].text, line[at + 2].text
    seen = line.between(at, at + 3)
    if not (top.isdigit() and bottom.isdigit()) or line[at + 3].text == "/":
        raise _broken(seen, "a fraction has one whole number above and one below")
    if len(top) > 2 or len(bottom) > 2 or not 1 <= int(bottom) <= FINEST_SHARE:
        raise _broken(seen, f"below the stroke stands a number from 1 to {FINEST_SHARE}")
    return Numeral(Fraction(int(top), int(bottom)), at + 3)


def _whole_and_part(line: TokenLine, at: int, whole: Numeral) -> Numeral:
    """Read on from a whole number: "1 1/2", "1-1/2", "1 and a half", "3 quarters"."""
    end = whole.end
    if whole.value.denominator != 1 or whole.thousands is not None:
        return whole
    joined = line[end].plain in _MIXING
    part = _fraction(line, end + joined)
    if part is None and joined and line[end].plain in _AND:
        part = _share_word(line, end + 1) or _counted_share(line, end + 1)
    if part is not None and part.value < 1:
        return Numeral(whole.value + part.value, part.end)
    if part is not None and not joined:
        raise _broken(line.between(at, part.end), "the part after a whole number is less than one")
    return _shares_of(line, whole)


def _words(line: TokenLine, at: int) -> Numeral | None:
    counted = _count_word(line, at)
    return None if counted is None else _whole_and_part(line, at, counted)


def _count_word(line: TokenLine, at: int) -> Numeral | None:
    """Read "one", "a", "twenty-five", "two hundred"; "a" before a figure is no number."""
    word = line[at].plain
    if word in _ARTICLES:
        value, end = Fraction(1), at + 1
        if line[end].kind == "number":
            return None
    elif word in _ONES:
        value, end = _ONES[word], at + 1
    elif word in _TENS:
        end = at + 2 if line[at + 1].text in DASHES else at + 1
        ones = _ONES.get(line[end].plain, Fraction(0))
        value, end = (_TENS[word] + ones, end + 1) if 0 < ones < 10 else (_TENS[word], at + 1)
    else:
        return None
    if line[end].plain == "hundred":
        value, end = 100 * value, end + 1
    return Numeral(value, end)


def _counted_share(line: TokenLine, at: int) -> Numeral | None:
    """Read "a half", "one half" as the part after a whole number."""
    counted = _count_word(line, at)
    shared = None if counted is None else _shares_of(line, counted)
    return shared if shared != counted else None


def _shares_of(line: TokenLine, count: Numeral) -> Numeral:
    """Read on from a count to its shares: "three quarters", "one-half", "a third of a"."""
    dashed = line[count.end].text in DASHES
    share = _share_word(line, count.end + dashed)
    return count if share is None else Numeral(count.value * share.value, share.end)


def _share_word(line: TokenLine, at: int) -> Numeral | None:
    """Read "half", "quarter of a"; the halves of half-and-half are no numbers."""
    share = _SHARES.get(line[at].plain)
    if share is None or _is_half_and_half(line, at):
        return None
    end = at + 1
    if line[end].plain == "of" and is_article(line, end + 1):
        return Numeral(share, end + 2)
    return Numeral(share, end + 1 if is_article(line, end) else end)


def _is_half_and_half(line: TokenLine, at: int) -> bool:
    after, before = _two_beside(line, at, 1), _two_beside(line, at, -1)
    return any(beside[0] in _AND and beside[1] == "half" for beside in (after, before))


def _two_beside(line: TokenLine, at: int, step: int) -> list[str]:
    near = (line[at + step * distance] for distance in range(1, 5))
    return [token.plain for token in near if token.text not in DASHES][:2]


def _refuse_exponent(line: TokenLine, at: int) -> None:
    exponent = line[at].kind == "number" and line[at + 1].plain == "e" and line.touches(at + 1)
    after = at + 3 if line[at + 2].text in DASHES | {"+"} else at + 2
    if exponent and line[after].kind == "number" and line.touches(at + 2):
        raise _broken(line.between(at, after + 1), "a power of ten has no place in a recipe")


def _broken(seen: str, why: str) -> UnreadableLine:
    return UnreadableLine(
        f"{quoted(seen)} cannot be read as a number: {why}. "
        "Write it as a decimal or as a mixed number, for instance 1.5 or 1 1/2.",
        rest=seen,
    )
