"""Quantities as written: a number with its unit, and whatever else is said of it.

"about 2 x 115 g", "1 lb 4 oz", "a heaping tbsp", "2 (8 oz) packages", "a pinch". What it is a
quantity of, and what that weighs, is the business of `models.reading`; bare numbers are
`models.reading.numerals`.
"""

from dataclasses import dataclass, field, replace
from fractions import Fraction

from models.measures import CUPS_PER, GRAMS_PER, Term, number_words, words
from models.reading.doubts import Uncertain, UnreadableLine, quoted
from models.reading.kitchen_words import (
    ALONE,
    EACH,
    FILLED_ALWAYS,
    FILLED_BEFORE,
    FIRMLY,
    HEAT_TIME_LENGTH,
    HEDGES,
    NO_AMOUNT_AFTER,
    PACKS,
    PIECES,
    PINCH_GRAMS,
    PINCHES,
    SAYING_NOTHING,
    SIZES,
    TIMES,
    VAGUE,
    VAGUE_ALONE,
    VAGUE_UNITS,
)
from models.reading.numerals import Numeral, is_article, read_numeral
from models.reading.tokens import DASHES, TokenLine
from models.reading.units import WrittenUnit, past_words, read_unit

MOST = 1_000_000  # as for every quantity that crosses the wire

_BEFORE_UNIT = HEDGES | SIZES | SAYING_NOTHING | FILLED_BEFORE | FILLED_ALWAYS | FIRMLY
_BEFORE_VAGUE = SIZES | {"generous", "good", "little"}
_FAMILIES = (("lb", "oz"), ("kg", "g"), ("l", "ml"), ("cup", "tbsp", "tsp", "fl_oz"))
"""Units that follow one another in one amount: 1 lb 4 oz. Others restate it: 8 oz 226 g."""


@dataclass(slots=True)
class Quantity:
    """A quantity as written: its terms and the place after it.

    A term's unit is one of `models.measures`, a word of `PACKS`, or "" for a bare count. `each`
    marks the weight of one piece, `is_pinch` grams that nobody weighed, `is_aside` an amount of
    something else that may be taken instead, `is_packed` the size of a pack; `said` are the tokens
    between the number and the unit, as in "2 heaping tbsp".
    """

    terms: list[Term]
    end: int
    doubts: list[Uncertain] = field(default_factory=list)
    each: bool = False
    is_pinch: bool = False
    is_aside: bool = False
    is_packed: bool = False
    start: int = 0
    said: list[tuple[int, int]] = field(default_factory=list)

    @property
    def by_weight(self) -> bool:
        """Whether a scale says so."""
        return not self.is_pinch and all(term.unit in GRAMS_PER for term in self.terms)

    @property
    def by_volume(self) -> bool:
        """Whether any of it is a cup or spoon."""
        return any(term.unit in CUPS_PER for term in self.terms)

    @property
    def is_bare(self) -> bool:
        """Whether it is a number and nothing more."""
        return self.terms[0].unit == ""

    @property
    def count(self) -> Fraction | None:
        """How many pieces or packs, None for a weight or volume."""
        counted = self.terms[0].unit not in GRAMS_PER and self.terms[0].unit not in CUPS_PER
        return self.terms[0].quantity if counted else None

    def take(self, added: "Quantity") -> bool:
        """Add a quantity that a joint ties to this one, if it is of the same measuring.

        "1 cup + 2 tbsp" grows by a term, "a cup and a half" in its last; "1 cup + 2 eggs" does not.
        """
        last = self.terms[-1]
        if added.is_bare and not self.is_bare:
            if added.terms[0].quantity >= 1:
                return False
            self.terms[-1] = Term(last.quantity + added.terms[0].quantity, last.unit)
        else:
            self.terms += added.terms
        self.doubts += added.doubts
        self.said += added.said
        return True


def read_quantity(line: TokenLine, at: int, *, bare: bool) -> Quantity | None:
    """Return the quantity that opens at `at`, or None.

    A number without a unit is one only where `bare` allows it. Raises UnreadableLine for a number
    no kitchen can mean.
    """
    start = past_words(line, at, HEDGES)
    if start == at and (line[at - 1].plain in NO_AMOUNT_AFTER or _is_inside_word(line, at)):
        return None
    _refuse_negative(line, at)
    alone = start <= 2 and line[start].plain in ALONE
    vague = start <= 2 and line[start].plain in VAGUE_ALONE
    if line[start].plain in PINCHES or vague or alone:
        numeral: Numeral | None = Numeral(Fraction(1), start)
    else:
        numeral = read_numeral(line, start)
    quantity = None if numeral is None else _measured(line, start, numeral, bare=bare)
    if quantity is None:
        return None
    quantity.start = at
    if alone:
        said = f"No number stands before {quoted(line[start].text)}; one was taken."
        quantity.doubts.append(Uncertain.of("vague", said))
    if start > at:
        quantity.doubts.append(_about(line.between(at, quantity.end)))
    return quantity


def _measured(line: TokenLine, start: int, numeral: Numeral, *, bare: bool) -> Quantity | None:
    numeral, times = _multiply(line, numeral)
    at = _to_unit(line, numeral.end)
    if line[at].plain in _BEFORE_VAGUE and line[at + 1].plain in VAGUE_UNITS:
        at += 1
    unit = read_unit(line, at)
    if unit is not None:
        quantity = _with_unit(line, start, numeral, unit)
        quantity.said.append((numeral.end, at))
        return quantity
    if line[at].plain in HEAT_TIME_LENGTH:
        return None
    at = past_words(line, numeral.end, SAYING_NOTHING)
    sized = _sized_packs(line, start, at, numeral)
    if sized is not None:
        return sized
    if line[at].plain in PACKS:
        return _counted(line, start, numeral, line[at].plain, at + 1)
    if not (bare or times) or line[numeral.end].plain in VAGUE:
        return None
    return _counted(line, start, numeral, "", past_words(line, numeral.end, PIECES))


def _with_unit(line: TokenLine, start: int, numeral: Numeral, unit: WrittenUnit) -> Quantity:
    doubts: list[Uncertain] = []
    value, end = _settled(line, start, numeral, unit.key, doubts), unit.end
    again = read_numeral(line, end + 1) if line[end].plain in TIMES else None
    if again is not None:  # 115 g x 2
        value, end = value * _settled(line, end + 1, again, "", doubts), again.end
    upper = _upper_end(line, end, unit)
    if upper is not None:  # 2 cups to 3 cups
        value = (value + _settled(line, end + 1, upper, unit.key, doubts)) / 2
        end = upper.end
        seen = line.between(start, end)
        doubts.append(Uncertain.of("range", f"The range {quoted(seen)} was read as its middle."))
    quantity = Quantity([_term(line, start, end, value * unit.per_word, unit.key)], end, doubts)
    if unit.per_word == PINCH_GRAMS:
        quantity.is_pinch = True
        pinch = "A pinch or dash was read as 0.4 g; spoons or grams would be exact."
        doubts.append(Uncertain.of("pinch", pinch))
    if any(line[i].plain in VAGUE_UNITS for i in range(start, unit.end)):
        said = f"{quoted(line.between(start, end))} was read as {words(quantity.terms[0])}"
        doubts.append(Uncertain.of("vague", f"{said}, as kitchens mean it; weigh it to be exact."))
    quantity.is_packed = line[quantity.end].plain in PACKS
    _read_on(line, quantity)
    if line[quantity.end].plain in EACH:
        quantity.each, quantity.end = True, quantity.end + 1
    return quantity


def _read_on(line: TokenLine, quantity: Quantity) -> None:
    """Take the smaller unit that follows without a joint: 1 lb 4 oz, 1 cup 2 tbsp."""
    start, above = quantity.end, quantity.terms[0].unit
    family = next((units for units in _FAMILIES if above in units), ())
    numeral = read_numeral(line, start)
    unit = None if numeral is None else read_unit(line, numeral.end)
    if numeral is None or unit is None or unit.per_word != 1 or unit.key not in family:
        return
    if family.index(unit.key) > family.index(above):
        value = _settled(line, start, numeral, unit.key, quantity.doubts)
        quantity.terms.append(_term(line, start, unit.end, value, unit.key))
        quantity.end = unit.end


def _counted(line: TokenLine, start: int, numeral: Numeral, pack: str, end: int) -> Quantity:
    doubts: list[Uncertain] = []
    value = _settled(line, start, numeral, pack, doubts)
    return Quantity([_term(line, start, end, value, pack)], end, doubts)


def _sized_packs(line: TokenLine, start: int, at: int, count: Numeral) -> Quantity | None:
    """Read packs with their size before their word: 2 (8 oz) packages, 1 8-ounce bar."""
    bracketed = line[at].text in {"(", "["}
    inner = past_words(line, at + bracketed, HEDGES)
    numeral = read_numeral(line, inner)
    unit = None if numeral is None else read_unit(line, _to_unit(line, numeral.end))
    if numeral is None or unit is None:
        if line[at].kind == "number":
            raise _two_numbers(line, at)
        return None
    one = _with_unit(line, inner, numeral, unit)
    if inner > at + bracketed:
        one.doubts.append(_about(line.between(at + bracketed, one.end)))
    end = one.end + (bracketed and line[one.end].text in {")", "]"})
    in_packs = line[end].plain in PACKS
    if not bracketed and not in_packs:
        raise _two_numbers(line, at)
    packs = _settled(line, start, count, "", one.doubts)
    if packs != 1 and not in_packs:
        each = f"{quoted(line.between(start, end))} was read as the weight of each."
        one.doubts.append(Uncertain.of("each", f"{each} Give the weight of all."))
    if not in_packs:
        container = read_unit(line, end)  # 1 (120 g) cup
        end = end if container is None else container.end
    return replace(
        one, terms=[t.times(packs) for t in one.terms], end=end + in_packs, is_packed=True
    )


def _multiply(line: TokenLine, numeral: Numeral) -> tuple[Numeral, bool]:
    """Read on from 2 to "2 x 115"; a sign before a word ("2 x eggs") says nothing."""
    after = numeral.end + 1
    if line[numeral.end].plain not in TIMES:
        return numeral, False
    factor = None if is_article(line, after) else read_numeral(line, after)
    if factor is None:
        return numeral._replace(end=after), False
    thousands = None
    if numeral.thousands is not None or factor.thousands is not None:
        thousands = (numeral.thousands or numeral.value) * (factor.thousands or factor.value)
    return Numeral(
        numeral.value * factor.value,
        factor.end,
        thousands,
        comma=numeral.comma or factor.comma,
        ranged=numeral.ranged or factor.ranged,
    ), True


def _upper_end(line: TokenLine, end: int, unit: WrittenUnit) -> Numeral | None:
    if line[end].text not in DASHES and line[end].plain not in {"to", "bis"}:
        return None
    upper = read_numeral(line, end + 1)
    same = None if upper is None else read_unit(line, upper.end)
    if upper is None or same is None or same[:2] != unit[:2]:
        return None
    return upper._replace(end=same.end)


def _settled(
    line: TokenLine, start: int, numeral: Numeral, unit: str, doubts: list[Uncertain]
) -> Fraction:
    """Return the number that counts, with its doubts.

    "1,250" is thousands in grams and millilitres, which nobody weighs to the thousandth, and a
    decimal comma in all else.
    """
    seen, value = line.between(start, numeral.end), numeral.value
    if numeral.thousands is not None and (numeral.comma or unit in {"g", "ml"}):
        value = numeral.thousands if numeral.comma and unit in {"g", "ml"} else value
        number = number_words(value, by_weight=True)
        mark = f"{quoted(seen)} was read as {number}; write it without a mark between thousands."
        doubts.append(Uncertain.of("number", mark))
    if numeral.ranged:
        middle = f"The range {quoted(seen)} was read as its middle, {number_words(value)}."
        doubts.append(Uncertain.of("range", middle))
    return value


def _term(line: TokenLine, start: int, end: int, value: Fraction, unit: str) -> Term:
    if value > MOST:
        seen = line.between(start, end)
        raise UnreadableLine(
            f"{quoted(seen)} is more than any kitchen weighs out. Check the number and the unit.",
            rest=seen,
        )
    return Term(value, unit)


def _refuse_negative(line: TokenLine, at: int) -> None:
    minus = line[at - 1].text in DASHES and line.touches(at) and line[at].kind == "number"
    if minus and not line.touches(at - 1):
        seen = line.between(at - 1, len(line))
        raise UnreadableLine(
            f"{quoted(seen)} is less than nothing. Give an amount of zero or more; "
            "a dash before an amount stands between blanks.",
            rest=seen,
        )


def _two_numbers(line: TokenLine, at: int) -> UnreadableLine:
    return UnreadableLine(
        f"{quoted(line.text)} has two numbers in a row, which may mean several things. "
        "Write one number and one unit, or bracket the size of a pack: 2 (115 g) sticks.",
        rest=line.between(at - 1, at + 1),
    )


def _is_inside_word(line: TokenLine, at: int) -> bool:
    """Whether the number belongs to a name such as T55."""
    return line.touches(at) and line[at - 1].kind == "word"


def _to_unit(line: TokenLine, at: int) -> int:
    if line[at].text in DASHES and line.touches(at) and line.touches(at + 1):
        return at + 1  # 8-ounce
    return past_words(line, at, _BEFORE_UNIT)


def _about(seen: str) -> Uncertain:
    return Uncertain.of("about", f"{quoted(seen)} was read as exactly the amount it names.")
