"""A line cut into numbers, words and marks, the way the eye cuts it.

What a token means is for others: numbers in `numerals`, units in `quantities`, names
in `naming`.
"""

import re
import unicodedata
from collections.abc import Iterator
from typing import NamedTuple

DASHES = frozenset("-–—‒−‐‑")
BRACKETS = frozenset("()[]{}")

# No alternative can give back what another could take, so cutting is linear in the line. A point
# opens a number (".5") only where it does not close a word or a row of dots.
_TOKEN = re.compile(
    r"(?P<number>[0-9]+(?:[.,][0-9]+)*|(?<![\w.,])[.,][0-9]+)"
    r"|(?P<word>[dl]['’](?=[^\W\d_])|[^\W\d_]+(?:['’][^\W\d_]+)*['’]?)"
    r"|(?P<mark>\S)",
    re.IGNORECASE,
)


_FRACTIONS = re.compile("[¼½¾⅐-⅞↉]")  # all but "⅟", which lacks its lower half
_STROKES = {ord("⁄"): "/", ord("∕"): "/"}


def _in_figures(fraction: re.Match[str]) -> str:
    """Write ½ as 1/2, set apart from a figure beside it: 1½ is 1 1/2."""
    text, start, end = fraction.string, fraction.start(), fraction.end()
    before = " " if start and text[start - 1].isnumeric() else ""
    after = " " if text[end : end + 1].isnumeric() else ""
    return f"{before}{unicodedata.normalize('NFKC', fraction[0])}{after}"


class Token(NamedTuple):
    """One number, word or mark; `plain` is without case, `start` and `end` its place."""

    kind: str
    text: str
    plain: str
    start: int
    end: int


class TokenLine:
    """A line and its tokens. Looking past either end finds an empty token of kind "end"."""

    def __init__(self, text: str) -> None:
        """Cut `text`, with fractions in figures and letters composed with their accents."""
        composed = unicodedata.normalize("NFC", text)
        self.text = _FRACTIONS.sub(_in_figures, composed).translate(_STROKES)
        self._tokens = [
            Token(found.lastgroup or "", found[0], found[0].casefold(), found.start(), found.end())
            for found in _TOKEN.finditer(self.text)
        ]
        self._end = Token("end", "", "", len(self.text), len(self.text))

    def __len__(self) -> int:
        """Count the tokens."""
        return len(self._tokens)

    def __getitem__(self, at: int) -> Token:
        """Return the token at `at`, or the empty one beyond either end."""
        return self._tokens[at] if 0 <= at < len(self._tokens) else self._end

    def __iter__(self) -> Iterator[Token]:
        """Walk the tokens."""
        return iter(self._tokens)

    def between(self, start: int, end: int) -> str:
        """Return the text of the tokens from `start` up to `end`."""
        return self.text[self[start].start : self[end - 1].end] if start < end else ""

    def touches(self, at: int) -> bool:
        """Whether the token at `at` follows the one before it without a blank."""
        return at > 0 and self[at - 1].end == self[at].start
