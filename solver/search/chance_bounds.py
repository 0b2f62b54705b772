"""How far the figures of a sheet can reach over many doughs, and convex functions below its chance.

Numbers only: bounds of linear sums over all that a node of the search can still afford, and the
largest convex functions below the logistic and above what gas does. What they are bounds of is
`solver.search.sheet_chances`.
"""

from typing import NamedTuple

import numpy as np

SOLIDS = 0
"""The column of the substances that percentages are of."""

RISING_GAS = 0.60
"""Per cent of the solids; more escapes."""

TINY = 1e-300
FACTORS = (3.0, 2.2, 1.7, 1.4, 1.25, 1.12)
"""By which two prices are moved towards where both budgets are just spent."""
HALVINGS = 12


class Ranges(NamedTuple):
    """Least and most of three things for every draw."""

    ln_flow: tuple[np.ndarray, np.ndarray]
    gas: tuple[np.ndarray, np.ndarray]
    strain: tuple[np.ndarray, np.ndarray]


def bounds(
    columns: np.ndarray,
    substances: np.ndarray,
    reduced: np.ndarray,
    budget: float,
    between: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Bound (columns · substances) / solids from below and above over one option a line.

    v is a bound from above where, with s the second sum of `between` (from below the first),
        Σ_k max_j (columns · substances − v solids − μ reduced − ν s) + μ budget ≤ 0
    for some μ, ν ≥ 0. They are closed in on in turn, v moved by Newton's steps and then by what
    is left, which the least and most solids turn into a valid step.
    """
    if not np.isfinite(budget):
        reduced, budget = 0 * reduced, 0.0
    (lines, options), half = reduced.shape, len(columns)
    flat = substances.reshape(len(substances), -1)
    priced = np.vstack([flat, reduced.reshape(1, -1)])
    solids = substances[SOLIDS]
    least_solids, most_solids = solids_between(solids)
    both, beside = np.concatenate([-columns, columns]), np.repeat(between, half, axis=0)
    second_sums = (between @ flat).reshape(2, lines, options)
    line, side = np.arange(lines), np.repeat([0, 1], half)[:, None]

    start = substances[:, line, reduced.argmin(axis=1)].sum(axis=1)
    value = both @ start / max(start[SOLIDS], least_solids)
    spread = _spread((both @ flat).reshape(-1, lines, options))
    price = spread / max(budget, 1e-9) / 4
    other = spread / np.maximum(np.repeat(_spread(second_sums), half), TINY)
    best = np.full(len(spread), np.inf)
    for factor in FACTORS:
        weights = both - other[:, None] * beside
        weights[:, SOLIDS] -= value
        left = (np.hstack([weights, -price[:, None]]) @ priced).reshape(-1, lines, options)
        option = left.argmax(axis=2)
        most = np.take_along_axis(left, option[:, :, None], axis=2)
        excess = most.sum(axis=(1, 2)) + price * budget
        valid = value + np.maximum(excess, 0) / least_solids + np.minimum(excess, 0) / most_solids
        best = np.minimum(best, valid)
        value = value + excess / np.maximum(solids[line, option].sum(axis=1), least_solids)
        dear = reduced[line, option].sum(axis=1) > budget
        price = price * np.where(dear, factor, 1 / factor)
        over = second_sums[side, line, option].sum(axis=1) > 0
        other = other * np.where(over, factor, 1 / factor)
    return -best[:half], best[half:]


def _spread(sums: np.ndarray) -> np.ndarray:
    return np.asarray((sums.max(axis=2) - sums.min(axis=2)).sum(axis=1))


def solids_between(solids: np.ndarray) -> tuple[float, float]:
    """Return the least and most solids of one option a line, of those that have any at all."""
    least = float(solids.min(axis=1).sum())
    if least <= 0:
        least = float(solids[solids > 0].min(initial=np.inf))
    return least, float(solids.max(axis=1).sum())


def rising_gas(
    gas: np.ndarray, between: tuple[np.ndarray, np.ndarray]
) -> tuple[np.ndarray, np.ndarray]:
    """Return the chord of min(gas, what rises) over a range, and its slope."""
    low, high = between
    top, bottom = np.minimum(high, RISING_GAS), np.minimum(low, RISING_GAS)
    slope = np.where(
        high > low + 1e-12, (top - bottom) / np.maximum(high - low, 1e-12), low < RISING_GAS
    )
    return bottom + slope * (gas - low), slope


def below_logistic(
    z: np.ndarray, low: np.ndarray, high: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return a convex function below the logistic from `low` to `high` at z, and its slope.

    The logistic itself up to where its tangent meets it again at `high`, then that tangent; above
    where it can touch, the line from `low` to `high`. A touch a little early is still below.
    """
    before, after = _touching(high)
    at_low, at_high = logistic(low), logistic(high)
    chord = (at_high - at_low) / np.maximum(high - low, 1e-9)
    at_touch = logistic(before)
    tangent = at_touch * (1 - at_touch)
    here = logistic(z)
    curved = (z <= before) | (high <= 0)
    straight = low >= after
    value = np.where(curved, here, at_touch + tangent * (z - before))
    slope = np.where(curved, here * (1 - here), tangent)
    return np.where(straight, at_low + chord * (z - low), value), np.where(straight, chord, slope)


def _touching(high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Bracket where a tangent of the logistic from below meets it again at `high` > 0."""
    most = np.maximum(high, 1e-9)
    left, right = -2 - np.log(6 + most), np.zeros_like(high)
    top = logistic(most)
    for _ in range(HALVINGS):
        middle = (left + right) / 2
        here = logistic(middle)
        below = here + here * (1 - here) * (most - middle) < top
        left, right = np.where(below, middle, left), np.where(below, right, middle)
    return np.where(high > 0, left, high), np.where(high > 0, right, np.inf)


def logistic(z: np.ndarray) -> np.ndarray:
    """Return 1 / (1 + e^−z)."""
    return np.asarray(0.5 + 0.5 * np.tanh(0.5 * z))
