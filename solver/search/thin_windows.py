"""Thin windows: two rows that hold one sum between two numbers so close that nothing may fit.

A relaxation glides through a window however thin, and branching on lines would go on for ever. But
what lines add to one row are few numbers each: all sums of half the lines, sorted, meet all sums of
the other half. Where no pair of them lands in the window, nothing meets the rows: that is a proof.
Where one does, nothing is said.

For rows a and b and any c > 0, with e = a + c b: what keeps both has
    Σ min e − c room_b ≤ Σ a ≤ room_a.
"""

from collections.abc import Iterator

import numpy as np

from solver.search.table import Table

THIN = 1e-3
"""Of all that a row's sum can be: in a wider window there is nearly always something."""
MOST_SUMS = 1_000_000
"""Of one half."""
TOLERANCE = 1e-12
"""Sums of floats of a scaled row are off by less."""


def nothing_fits(table: Table) -> bool:
    """Tell whether some thin window is sure to hold no sum of the options at all."""
    return any(
        _is_missed([np.unique(line) for line in _by_line(table, row)], low, high)
        for row, low, high in _thin_windows(table)
    )


def _thin_windows(table: Table) -> Iterator[tuple[np.ndarray, float, float]]:
    """Yield rows with the window that another row leaves their sum, where it is thin."""
    for i, row in enumerate(table.use):
        least, most = _ends(table, row)
        for j, other in enumerate(table.use):
            steepness = -float(row @ other) / max(float(other @ other), 1e-300)
            if i == j or steepness <= 0:
                continue
            low = _ends(table, row + steepness * other)[0] - steepness * float(table.room[j])
            high = float(table.room[i])
            if high - low <= THIN * (most - least):
                yield row, low, high


def _ends(table: Table, row: np.ndarray) -> tuple[float, float]:
    least = np.minimum.reduceat(row, table.starts).sum()
    return float(least), float(np.maximum.reduceat(row, table.starts).sum())


def _by_line(table: Table, row: np.ndarray) -> list[np.ndarray]:
    return np.split(row, table.starts[1:])


def _is_missed(lines: list[np.ndarray], low: float, high: float) -> bool:
    """Tell whether no sum of one number a line lies between `low` and `high`."""
    halves = [np.zeros(1), np.zeros(1)]
    for numbers in sorted(lines, key=len, reverse=True):
        at = 0 if len(halves[0]) <= len(halves[1]) else 1
        if len(halves[at]) * len(numbers) > MOST_SUMS:
            return False
        halves[at] = np.unique(np.add.outer(halves[at], numbers))
    few, many = sorted(halves, key=len)
    first = np.searchsorted(many, low - TOLERANCE - few, side="left")
    beyond = np.searchsorted(many, high + TOLERANCE - few, side="right")
    return bool((first >= beyond).all())
