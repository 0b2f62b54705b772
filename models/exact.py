"""Exact numbers: a decimal that a person wrote is kept as that decimal, not its nearest float.

A bound of 2.1 means twenty-one tenths. Sums of cups and thirds of cups are exact as fractions, so
a bound that holds to the last grain holds here too.
"""

import math
from collections.abc import Iterable
from fractions import Fraction


def exact(number: int | float | Fraction) -> Fraction:
    """Return the decimal that `number` is written as, exactly (0.1 becomes 1/10)."""
    if isinstance(number, float):
        return Fraction(repr(number))
    return Fraction(number)


def exact_sum(numbers: Iterable[Fraction]) -> Fraction:
    """Return the sum, reduced once instead of after every addition."""
    some = [number for number in numbers if number]
    below = math.lcm(*(number.denominator for number in some))
    return Fraction(sum(n.numerator * (below // n.denominator) for n in some), below)


def float_not_below(number: Fraction) -> float:
    """Return the nearest float whose written decimal is not below `number`.

    An upper bound handed back to a caller must still admit the exact amount it came from.
    """
    candidate = float(number)
    while exact(candidate) < number:
        candidate = math.nextafter(candidate, math.inf)
    return candidate


def float_not_above(number: Fraction) -> float:
    """Return the nearest float whose written decimal is not above `number` (for lower bounds)."""
    return -float_not_below(-number)


def estimate_not_below(number: Fraction) -> Fraction:
    """Return the least number of three significant figures that is not below a positive `number`.

    A bound on an estimate handed back to a caller is the same on every machine, and still admits
    what it came from.
    """
    step = Fraction(10) ** (math.floor(math.log10(number)) - 2)
    return math.ceil(number / step) * step
