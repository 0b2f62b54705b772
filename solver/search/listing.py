"""Listing: every combination of options that is still cheap enough and can meet every row.

Lines are joined one by one; a partial combination is dropped where even the most helpful options of
the lines to come leave some row broken, or the budget spent. Arrays only: what is listed for is the
business of `solver.search.branch_and_bound`.
"""

import numpy as np

ROWS_TOGETHER = 20_000
"""Longer lists look at one row at a time, to stay out of memory."""


class ListTooLong(Exception):
    """More combinations lie within the budget than are worth listing."""


def combinations(
    left: np.ndarray,
    reduced: np.ndarray,
    budget: float,
    use: np.ndarray,
    room: np.ndarray,
    starts: np.ndarray,
    longest: int,
) -> np.ndarray:
    """Return the options of every combination with Σ reduced ≤ budget that meets every row.

    `left` marks the options that may be taken, `reduced` (≥ 0) prices them, `use` is rows ×
    options, `starts` says where the options of each line begin. The answer has a row a combination
    and a column a line. Raises ListTooLong.
    """
    lines = len(starts)
    use, room = np.vstack([use, reduced]), np.append(room, budget)
    options = np.flatnonzero(left & (reduced <= budget))
    while True:  # options that no combination can take go, until none goes any more
        counts = np.bincount(np.searchsorted(starts, options, side="right") - 1, minlength=lines)
        if not counts.all():
            return np.zeros((0, lines), dtype=np.int64)
        of_line = np.repeat(np.arange(lines), counts)
        begins = np.cumsum(counts) - counts
        used = use[:, options]
        least = np.minimum.reduceat(used, begins, axis=1)
        spare = room - least.sum(axis=1)
        more = used - least[:, of_line]
        fits = (more <= spare[:, None]).all(axis=0)
        if (spare < 0).any():
            return np.zeros((0, lines), dtype=np.int64)
        if fits.all():
            return _joined(options, more.T, spare, counts, longest)
        options = options[fits]


def _joined(
    options: np.ndarray, more: np.ndarray, spare: np.ndarray, counts: np.ndarray, longest: int
) -> np.ndarray:
    ends = np.cumsum(counts)
    picks: np.ndarray = options[ends - counts][None, :]
    used = np.zeros((1, len(spare)))
    for k in np.argsort(counts, kind="stable"):
        if counts[k] == 1:
            continue
        mine = slice(ends[k] - counts[k], ends[k])
        left, right = _pairs_within(used[:, -1], more[mine, -1], spare[-1], longest)
        adds = more[mine]
        if len(left) <= ROWS_TOGETHER:
            together = used[left] + adds[right]
            fits = (together <= spare).all(axis=1)
            left, right, used = left[fits], right[fits], together[fits]
        else:
            for row, limit in enumerate(spare):
                fits = used[left, row] + adds[right, row] <= limit
                left, right = left[fits], right[fits]
            used = used[left] + adds[right]
        picks = picks[left]
        picks[:, k] = options[mine][right]
    return picks


def _pairs_within(
    spent: np.ndarray, prices: np.ndarray, budget: float, longest: int
) -> tuple[np.ndarray, np.ndarray]:
    """Return the index pairs (a, b) with spent_a + prices_b ≤ budget; raise ListTooLong."""
    by_price = np.argsort(prices, kind="stable")
    counts = np.searchsorted(prices[by_price], budget - spent, side="right")
    total = int(counts.sum())
    if total > longest:
        raise ListTooLong
    left = np.repeat(np.arange(len(spent)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    return left, by_price[np.arange(total) - first]
