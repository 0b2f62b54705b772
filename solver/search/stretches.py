"""Stretches: neighbouring options of a line that differ in equal steps.

A line weighed gram by gram has thousands of options, yet from its amount as written to the end of
its reach each further gram costs the same and adds the same to every row. One choice z and a whole
number of steps n then say what the options a … b of such a stretch say one by one:

    Σ_{j=a..b} c_j y_j  =  c_a z + (c_b − c_a) / (b − a) n      z ∈ {0, 1}, n ∈ {0, …, (b − a) z}

The answers and their costs are the same; branch and bound has a few columns where it had thousands.
For the solver n is a sum of steps of 1, 2, 4 … options, each taken or not.
"""

from dataclasses import dataclass

import numpy as np

SHORTEST = 8
"""Options in a stretch; fewer are as well chosen one by one."""

STRAIGHT = 1e-11
"""How far an option may lie off the straight line, as a share of the largest number beside it.

Numbers that are sums of the same terms in another order differ by about 1e-15 of their size.
"""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Options `first` to `first + steps` of one line, both included."""

    first: int
    steps: int


def stretches(numbers: np.ndarray) -> list[Stretch]:
    """Return the options of a line, in order, as stretches; a lone option is one of no steps.

    `numbers` has a column for each option, a row for everything in which the options differ. The
    first option, to stay, always stands alone.
    """
    found, first = [Stretch(0, 0)], 1
    for last in _ends(numbers):
        if last - first + 1 >= SHORTEST and _is_straight(numbers[:, first : last + 1]):
            found.append(Stretch(first, last - first))
            first = last + 1
        else:  # the option at a bend may begin the next stretch
            found += [Stretch(j, 0) for j in range(first, last)]
            first = last
    return found + [Stretch(j, 0) for j in range(first, numbers.shape[1])]


def binary_steps(count: int) -> list[int]:
    """Return steps 1, 2, 4 … and a rest that add up to `count`: their sums are 0, 1, … `count`."""
    sizes: list[int] = []
    while count > 0:
        sizes.append(min(2 ** len(sizes), count))
        count -= sizes[-1]
    return sizes


def _ends(numbers: np.ndarray) -> list[int]:
    """Return the options, after the first two, at which some number's step changes; and the last.

    Each may end one stretch, or begin the next.
    """
    turns = np.abs(np.diff(numbers, n=2, axis=1)) > STRAIGHT * _sizes(numbers)
    bends = [int(j) + 1 for j in np.flatnonzero(turns.any(axis=0))]
    return [j for j in [*bends, numbers.shape[1] - 1] if j > 1]


def _is_straight(numbers: np.ndarray) -> bool:
    """Tell whether no option lies off the line from the first to the last (steps may drift)."""
    along = np.linspace(0.0, 1.0, numbers.shape[1])
    straight = numbers[:, :1] + np.outer(numbers[:, -1] - numbers[:, 0], along)
    return bool((np.abs(numbers - straight) <= STRAIGHT * _sizes(numbers)).all())


def _sizes(numbers: np.ndarray) -> np.ndarray:
    sizes: np.ndarray = np.abs(numbers).max(axis=1, keepdims=True)
    return sizes
