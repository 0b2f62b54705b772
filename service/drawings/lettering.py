"""Lettering: how wide words will be, how they break into lines, and how sizes are spelt.

No font is known for sure, so widths are those of a wide one: what fits here fits anywhere.
"""

import unicodedata
from fractions import Fraction

from models.chance import chance_figure
from models.measures import number_words

NO_BREAK = "\u00a0"
"""Joins a number to its unit."""

_LONGEST_MM = 100_000  # the radius of a cone so steep that its piece is all but straight
_EMS = {
    **dict.fromkeys("iljI.,:;'|! ", 0.32),
    **dict.fromkeys("ftr()[]/-", 0.42),
    **dict.fromkeys("ckszvxy", 0.59),
    **dict.fromkeys("mwMW@%—…", 0.99),
}
"""How wide letters are in a wide plain font, in their size; others by kind in `_ems`."""


def width_of(text: str, size: float) -> float:
    """Return how wide `text` is at most in letters of `size`."""
    return size * sum(map(_ems, text))


def wrapped(text: str, size: float, room: float) -> list[str]:
    """Return `text` in lines no wider than `room`; a longer word is broken.

    A number stays with its unit where a no-break space joins them.
    """
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".lstrip()
        if width_of(longer, size) <= room:
            lines[-1] = longer
            continue
        lines += [""] if lines[-1] else []
        for letter in word:
            if lines[-1] and width_of(lines[-1] + letter, size) > room:
                lines.append("")
            lines[-1] += letter
    return lines


def millimetres(length: float) -> str:
    """Return a length as a ruler reads it: "108.3 mm (4 1/4 in)", inches to a sixteenth."""
    if length > _LONGEST_MM:
        return f"more than {_LONGEST_MM // 1000} m"
    inches = number_words(Fraction(round(length / 25.4 * 16), 16))
    return f"{length:.1f} mm ({inches} in)".replace(" ", NO_BREAK)


def thickness_marks(thickness_mm: float) -> str:
    """Return a thickness with the nearest mark in inches: 4 mm is 5/32 in, not 3/16."""
    inches = number_words(Fraction(round(thickness_mm / 25.4 * 32), 32))
    return f"{thickness_mm:.4g} mm ({inches} in)".replace(" ", NO_BREAK)


def percent(share: float, places: int = 1) -> str:
    """Return a share as a percentage, to three figures unless told: 0.1901 is "19.0 %", a lot
    ">999 %"."""
    if share >= 9.995:
        return f">999{NO_BREAK}%"
    return f"{100 * share:.{0 if share >= 0.9995 else places}f}{NO_BREAK}%"


def chance_words(percent: float) -> str:
    """Return a chance without claiming certainty: "34 %", "under 1 %", "over 99 %"."""
    return chance_figure(percent).replace(" %", f"{NO_BREAK}%")


def _ems(letter: str) -> float:
    if letter in _EMS:
        return _EMS[letter]
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.05
    return 0.75 if letter.isupper() else 0.64
