"""A line divided into segments, one for each amount that is added up, and each segment into its
quantities and the phrases around them.

"1 cup (120 g) flour, sifted, plus 2 tbsp" has two segments; the first has two quantities, which say
the same amount twice. Whose amounts they are is the business of `models.reading`.
"""

from dataclasses import dataclass, field

from models.ingredient import Ingredient
from models.pantry import Pantry
from models.reading.kitchen_words import CHOICES, JOINTS, NO_AMOUNT_AFTER, OF, SIZES
from models.reading.naming import find_whole_name
from models.reading.numerals import read_numeral
from models.reading.quantities import Quantity, read_quantity
from models.reading.tokens import BRACKETS, DASHES, TokenLine

MAX_NAME = 200  # the longest name an ingredient can have
_SETTING_APART = frozenset(",:;") | DASHES
_CLOSING = frozenset({"", ",", ";", ")", "]"})


@dataclass(slots=True)
class Phrase:
    """The tokens `start` up to `end`, without a quantity or bracket between them.

    `follows` is the place among the segment's quantities of the one right before it, or None;
    `ingredient` the one that all its words together name, where that was looked up already.
    """

    start: int
    end: int
    follows: int | None = None
    ingredient: Ingredient | None = None


@dataclass(slots=True)
class Segment:
    """One amount of a sum. `offered` are places of quantities that come after an "or"."""

    quantities: list[Quantity] = field(default_factory=list)
    phrases: list[Phrase] = field(default_factory=list)
    offered: set[int] = field(default_factory=set)


class _Divider:
    """Walks a line once, from left to right."""

    def __init__(self, line: TokenLine, pantry: Pantry) -> None:
        self.line = line
        self.pantry = pantry
        self.segments = [Segment()]
        self.depth = 0
        self.worded = False  # the segment has words already
        self.broken = True  # the next word opens a phrase
        self.follows: int | None = None
        self.last_end = -1

    def walk(self) -> list[Segment]:
        at = 0
        while at < len(self.line):
            at = self._joined(at) or self._quantity(at) or self._word(at)
        return self.segments

    def _joined(self, at: int) -> int | None:
        """Take a joint and what it adds: a longer sum where it follows a quantity, or a segment."""
        segment = self.segments[-1]
        if self.line[at].plain not in JOINTS or not (segment.quantities or segment.phrases):
            return None
        follows = self.last_end == at
        if self.depth and not follows:
            return None
        quantity = read_quantity(self.line, at + 1, bare=not self.depth)
        if quantity is None:
            return None
        if follows and segment.quantities[-1].take(quantity):
            self.last_end = quantity.end
            return self._whole_name(quantity.end) or quantity.end
        self.segments.append(Segment())
        self.worded = False
        return self._keep(quantity)

    def _quantity(self, at: int) -> int | None:
        segment = self.segments[-1]
        quantity = read_quantity(self.line, at, bare=not segment.quantities)
        if quantity is None:
            return None
        if quantity.is_bare and self.worded and not self._counts_words_before(at, quantity.end):
            return None
        self._note_choice(at)
        return self._keep(quantity)

    def _counts_words_before(self, at: int, end: int) -> bool:
        """Whether a bare number counts words before it: eggs, 2 large; juice: 1 lemon."""
        if self.line[at - 1].plain in OF or self.line[at - 1].text in _SETTING_APART:
            return True
        return self.line[end].text in _CLOSING or self.line[end].plain in SIZES

    def _note_choice(self, at: int) -> None:
        segment = self.segments[-1]
        if segment.phrases and not self.broken and self.line[at - 1].plain in CHOICES:
            segment.phrases[-1].end -= 1
            segment.offered.add(len(segment.quantities))

    def _keep(self, quantity: Quantity) -> int:
        segment = self.segments[-1]
        self.follows = len(segment.quantities)
        segment.quantities.append(quantity)
        self.broken = True
        self.last_end = quantity.end
        return self._whole_name(quantity.end) or quantity.end

    def _whole_name(self, at: int) -> int | None:
        """Take all that is left where it is one name, whatever brackets or numbers are in it."""
        end = len(self.line)
        if self.depth or at == end or len(self.line.text) - self.line[at].start > MAX_NAME:
            return None
        ingredient = find_whole_name(self.line, at, end, self.pantry)
        if ingredient is None:
            return None
        self.segments[-1].phrases.append(Phrase(at, end, self.follows, ingredient))
        return end

    def _word(self, at: int) -> int:
        self.worded = self.worded or self.line[at].kind != "mark"
        if self.line[at].text in BRACKETS:
            self.depth = max(0, self.depth + (1 if self.line[at].text in "([{" else -1))
            self.broken, self.follows = True, None
            return at + 1
        end = self._past_number(at)
        if self.broken:
            self.segments[-1].phrases.append(Phrase(at, end, self.follows))
            self.broken, self.follows = False, None
        else:
            self.segments[-1].phrases[-1].end = end
        return end

    def _past_number(self, at: int) -> int:
        """Step over the whole of a number that is no amount: at 180-200 °C, to 1 1/2 cups."""
        passed = self.line[at].kind == "number" and self.line[at - 1].plain in NO_AMOUNT_AFTER
        numeral = read_numeral(self.line, at) if passed else None
        return at + 1 if numeral is None else numeral.end


def divide(line: TokenLine, pantry: Pantry) -> list[Segment]:
    """Return the segments of `line`, at least one; `pantry` tells where a name ends the line."""
    return _Divider(line, pantry).walk()
