"""Exact numbers handed back to a caller: rounded outwards, never past what they came from."""

import math
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from models.exact import estimate_not_below, exact_sum

POSITIVE = st.fractions(min_value=Fraction(1, 10**9), max_value=Fraction(10**6))


@given(POSITIVE)
def test_an_estimate_handed_back_admits_what_it_came_from(number):
    """It has three significant figures, is not below the number, and not a step above it."""
    shown = estimate_not_below(number)
    assert float(f"{float(shown):.3g}") == float(shown)
    assert number <= shown <= number + Fraction(10) ** math.ceil(math.log10(number) - 2)


@given(st.lists(st.fractions(max_denominator=10**6), max_size=12))
def test_an_exact_sum_is_the_sum(numbers):
    """Whatever is added, in lowest terms; of nothing it is nothing."""
    assert exact_sum(numbers) == sum(numbers, Fraction(0))
