"""Thin windows: what is said to be missed is missed by every combination."""

import itertools

import numpy as np
import pytest

from solver.search.problem import Problem
from solver.search.table import Table
from solver.search.thin_windows import nothing_fits
from tests.generated_recipes import generated_brief


def table_of(lines: list[np.ndarray], low: float, high: float) -> Table:
    """Return a table whose two rows hold the sum of one number a line between two numbers."""
    sums = np.concatenate(lines)
    sizes = np.array([len(line) for line in lines])
    starts = np.cumsum(sizes) - sizes
    return Table(0 * sums, np.vstack([sums, -sums]), np.array([high, -low]), starts)


@pytest.mark.parametrize("seed", range(40))
def test_a_thin_window_is_missed_where_trying_everything_says_so(seed):
    """Of 40 sets of five lines with eight numbers each, held against all 32,768 sums."""
    rng = np.random.default_rng(seed)
    lines = [rng.uniform(0, 1, 8) for _ in range(5)]
    at = rng.uniform(1.5, 3.5)
    width = 10 ** rng.uniform(-6, -3.5)
    sums = np.array([sum(each) for each in itertools.product(*lines)])
    fits = ((sums >= at) & (sums <= at + width)).any()
    assert nothing_fits(table_of(lines, at, at + width)) == (not fits)


def test_nothing_is_said_of_a_wide_window_or_too_many_sums():
    """What is not sure to be missed is left to the search, whatever there is in it."""
    apart = [np.array([0.0, 10.0]), np.array([0.0, 1.0])]
    assert not nothing_fits(table_of(apart, 4.0, 6.0))
    many = [np.arange(2000) * np.sqrt(prime) for prime in (2, 3, 5, 7)]
    assert not nothing_fits(table_of(many, 10.0, 10.0))


@pytest.mark.parametrize("seed", [538, 988])
def test_a_window_of_one_value_is_refused_at_once(seed):
    """Water of exactly 0.1 % that no amounts make: a relaxation alone would look for ever."""
    assert Problem.of(generated_brief(seed)).least() is None
