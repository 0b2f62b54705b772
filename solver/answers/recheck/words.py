"""Measures read back from an answer's words, and whether a person could scoop them.

This is for the re-check alone. It shares no table with the rack that proposed the amounts: what may
be scooped stands here once more, as callers were promised it.
"""

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import product
from typing import Literal, NamedTuple, assert_never

Kind = Literal["cups", "spoons_ml", "jug", "scale", "whole_grams", "pieces"]
"""How a line of an answer must be measured."""

TEASPOONS = {"cup": Fraction(48), "tbsp": Fraction(3), "tsp": Fraction(1)}
MILLILITRES_IN_A_CUP = Fraction("236.588")  # NIST
SPOONS_ML = {"15 ml": Fraction(15), "5 ml": Fraction(5), "2.5 ml": Fraction("2.5")}
SPOONS_ML["1.25 ml"] = Fraction("1.25")

_PARTS = {
    "cup": {"": (), "1/4": ("1/4",), "1/3": ("1/3",), "1/2": ("1/2",)}
    | {"2/3": ("1/3", "1/3"), "3/4": ("1/2", "1/4")},
    "tbsp": {"": (), "1/2": ("1/2",)},
    "tsp": {"": (), "1/8": ("1/8",), "1/4": ("1/4",), "1/2": ("1/2",), "3/4": ("1/2", "1/4")},
}
"""The fractions of each measure, and the fillings that make each up."""
_PIECES = {"egg": "each", "yolk": "yolk", "white": "white"}
"""The filling of each piece of an egg."""
_MOST_WHOLE = {"tbsp": 3, "tsp": 2}
_FURTHER_UNIT = 5
_NEVER_WRITTEN = 10**9


class Said(NamedTuple):
    """One term of a measure, as its words say it."""

    quantity: Fraction
    unit: str


class UnreadableMeasure(Exception):
    """Words that are no measure."""


def read_measure(words: str) -> list[Said]:
    """Return the terms of `words`, none for "none"; raise UnreadableMeasure."""
    if words == "none":
        return []
    return [_read_term(term) for term in words.split(" + ")]


def _read_term(words: str) -> Said:
    found = re.fullmatch(r"(?:(\d+) )?(\d+)(?:/(\d+)|\.(\d+))? (x )?(.+)", words, re.ASCII)
    if found is None:
        raise UnreadableMeasure(f'"{words}" is no measure')
    whole, number, below, decimals, times, unit = found.groups()
    if below is None and whole is not None:
        raise UnreadableMeasure(f'"{words}" has two numbers')
    if below is not None:
        if not int(below) or int(number) >= int(below):
            raise UnreadableMeasure(f'"{words}" has no proper fraction')
        quantity = int(whole or 0) + Fraction(int(number), int(below))
    else:
        quantity = Fraction(f"{number}.{decimals or 0}")
    if (unit in SPOONS_ML) != bool(times):
        raise UnreadableMeasure(f'"{words}" is no measure')
    return Said(quantity, _singular(unit, quantity))


def _singular(unit: str, quantity: Fraction) -> str:
    return unit[:-1] if quantity > 1 and unit.endswith("s") else unit


def faults_of(kind: Kind, terms: list[Said], scoops: list[tuple[int, str]]) -> Iterator[str]:
    """Yield what makes an amount one that nobody can measure so, or its fillings other than it."""
    if not terms:
        if scoops:
            yield "nothing is filled with something"
        return
    expected: list[tuple[int, str]] | None = []
    match kind:
        case "cups":
            yield from _cup_faults(terms)
            expected = _cup_fillings(terms)
        case "spoons_ml":
            yield from _spoon_faults(terms)
            expected = [(int(term.quantity), term.unit) for term in terms]
        case "jug":
            if len(terms) != 1 or terms[0].unit != "ml" or terms[0].quantity % 5:
                yield "a jug reads every 5 ml"
        case "scale" | "whole_grams":
            yield from _gram_faults(kind, terms)
        case "pieces":
            yield from _piece_faults(terms)
            expected = [(int(t.quantity), _PIECES.get(t.unit, t.unit)) for t in terms]
            expected = None if {t.unit for t in terms} - _PIECES.keys() else expected
        case _:
            assert_never(kind)
    if expected is not None and scoops != expected:
        yield f"the fillings are {scoops}, not {expected}"


def fillings_as_written(terms: Iterable[Said]) -> list[tuple[int, str]]:
    """Return the fillings of an amount that stays, none where a part of it is not scooped."""
    found: list[tuple[int, str]] = []
    for term in terms:
        whole, rest = divmod(term.quantity, 1)
        if term.unit in _PARTS and str(rest or "") in _PARTS[term.unit]:
            found += _cup_fillings([term])
        elif term.unit in {*SPOONS_ML, *_PIECES} and not rest:
            found += [(int(whole), _PIECES.get(term.unit, term.unit))] if whole else []
        else:
            return []
    return found


def counted(kind: Kind, terms: list[Said]) -> int:
    """Return what the fillings of an amount count in its cost."""
    match kind:
        case "cups":
            further = _FURTHER_UNIT * max(0, len(terms) - 1)
            return sum(count for count, _ in _cup_fillings(terms)) + further
        case "spoons_ml" | "pieces":
            return sum(int(term.quantity) for term in terms)
        case "jug" | "scale" | "whole_grams":
            return 0
        case _:
            assert_never(kind)


def is_scoopable(teaspoons: Fraction) -> bool:
    """Tell whether some cups, tablespoons and teaspoons hold so many teaspoons."""
    return _least_count(teaspoons) < _NEVER_WRITTEN


def _cup_faults(terms: list[Said]) -> Iterator[str]:
    units = [term.unit for term in terms]
    if units != [unit for unit in TEASPOONS if unit in units]:
        yield f"{units} are not cups, tablespoons and teaspoons in that order"
        return
    total = sum((t.quantity * TEASPOONS[t.unit] for t in terms), Fraction(0))
    for term in terms:
        whole, rest = divmod(term.quantity, 1)
        if str(rest or "") not in _PARTS[term.unit]:
            yield f"no {term.unit} holds {rest}"
        if whole > _MOST_WHOLE.get(term.unit, whole) or (term.unit == "tbsp" and whole and rest):
            yield f"{term.quantity} {term.unit} is not filled so"
        if rest == Fraction(1, 8) and total != Fraction(1, 8):
            yield "an eighth of a teaspoon stands alone"
        if 100 * term.quantity * TEASPOONS[term.unit] < total:
            yield f"{term.quantity} {term.unit} is lost in the amount"
    if counted("cups", terms) > _least_count(total):
        yield "another writing of the same amount takes fewer fillings"


def _cup_fillings(terms: list[Said]) -> list[tuple[int, str]]:
    found: list[tuple[int, str]] = []
    for quantity, unit in terms:
        whole, rest = divmod(quantity, 1)
        if whole:
            found.append((int(whole), unit))
        parts = _PARTS.get(unit, {}).get(str(rest or ""), ())
        found += [(parts.count(part), f"{part} {unit}") for part in dict.fromkeys(parts)]
    return found


@lru_cache(maxsize=4096)
def _least_count(teaspoons: Fraction) -> int:
    """Return the least count of all ways to write a volume, by trying them."""
    spoons = [Fraction(whole) + Fraction(part or 0) for whole in range(3) for part in _PARTS["tsp"]]
    alone = teaspoons == Fraction(1, 8)  # an eighth is taken only where it is the whole amount
    spoons = [each for each in spoons if each % 1 != Fraction(1, 8) or (alone and each < 1)]
    best = []
    tablespoon_fillings = [Fraction(n, 2) for n in (0, 1, 2, 4, 6)]
    for tablespoons, small in product(tablespoon_fillings, spoons):
        cups = (teaspoons - 3 * tablespoons - small) / 48
        if cups < 0 or str(cups % 1 or "") not in _PARTS["cup"]:
            continue
        terms = [Said(cups, "cup"), Said(tablespoons, "tbsp")]
        terms = [term for term in [*terms, Said(small, "tsp")] if term.quantity]
        if all(100 * t.quantity * TEASPOONS[t.unit] >= teaspoons for t in terms):
            best.append(counted("cups", terms))
    return min(best, default=_NEVER_WRITTEN)


def _spoon_faults(terms: list[Said]) -> Iterator[str]:
    units = [term.unit for term in terms]
    if units != [unit for unit in SPOONS_ML if unit in units]:
        yield f"{units} are not spoons of a metric set, largest first"
        return
    most = {"15 ml": None, "5 ml": 2, "2.5 ml": 1, "1.25 ml": 1}
    for quantity, unit in terms:
        limit = most[unit]
        if quantity % 1 or (limit is not None and quantity > limit):
            yield f"{quantity} x {unit} could be fewer or whole spoonfuls"


def _gram_faults(kind: Kind, terms: list[Said]) -> Iterator[str]:
    (first, *others) = terms
    if others or first.unit != "g":
        yield "a scale reads grams"
    elif (first.quantity % 1 and (kind == "whole_grams" or first.quantity >= 20)) or (
        10 * first.quantity
    ) % 1:
        yield f"a scale does not show {float(first.quantity)} g"


def _piece_faults(terms: list[Said]) -> Iterator[str]:
    if any(term.quantity % 1 for term in terms):
        yield "no one takes part of a piece"
    units = [term.unit for term in terms]
    if "g" in units:
        yield "no one weighs a piece"
    beside = [term for term in terms[1:] if term.unit in {"yolk", "white"} and term.quantity == 1]
    if len(terms) > 1 and (len(terms) > 2 or units[0] != "egg" or not beside):
        yield "beside whole eggs goes one yolk or one white at most"
