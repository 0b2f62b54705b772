"""Calibration: what a kitchen's trials teach, as draws that stand in for the untried kitchen's.

The most likely coefficients are found in whitened coordinates, where the belief is a standard
normal, by BFGS; about them the belief left over is normal with the curvature found there, never
wider than before (Laplace). A few pieces leave it skewed, and its middle is not where it is most
likely: so fixed draws, of what was believed before or of Laplace's where too few of those count,
are weighted by what they should have been drawn from, and the normal takes their mean and
covariance. Its 512 draws are fixed, so the same trials always answer the same:

    m + U diag(ev^½) Uᵀ · lattice

is symmetric and does not depend on the signs of the eigenvectors. How likely trials are is
`solver.mechanics.evidence`; the plain tally kept beside it is `solver.mechanics.tally`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from models.learning import Taught
from solver.mechanics.belief import DRAWS, Draws, draws_of, lattice
from solver.mechanics.evidence import COEFFICIENTS, ln_likelihoods
from solver.mechanics.trays import Evidence

STEP = 1e-3
"""Of a standard deviation: the differences by which slopes are taken."""
SLOPE_LEFT = 1e-2
"""Downhill far enough: nearer moves no likelihood of holding by a tenth of a point, on average."""
CURVATURE_STEP = 0.05
"""Wide enough that the sum's own rounding does not show in second differences."""
FARTHEST = 6.0
"""No coefficient is believed farther from its middle: one in a thousand million."""
LEAST_CURVATURE = 1.0
"""The belief's own: a trial never makes less sure."""
WEIGHTED_DRAWS = 2048
"""By so many draws a normal is set right, twice if need be: likelihoods of holding then come within
2 points of those of 40,000 draws of the belief itself, where Laplace's alone are off by 5."""
NEAR_ENOUGH, WELL_DRAWN = 0.2, 0.5
"""Where such a share of the draws of what was believed before counts, nothing need be sought anew:
a few pieces may leave two hills, and the most likely point sit on the lesser one. Where such a
share counts, weighing them once is enough."""
LEAST_EFFECTIVE_DRAWS = 100
"""Of fewer no covariance is believed, and the normal stays as it is."""

Objective = Callable[[np.ndarray], np.ndarray]
"""Minus the logarithm of how likely each column of scores is."""


@dataclass(frozen=True, eq=False)
class Normal:
    """A belief that is normal in whitened coordinates: its middle and its spread."""

    middle: np.ndarray
    spread: np.ndarray  # symmetric: the square root of the covariance

    def scores(self, count: int) -> np.ndarray:
        """Return `count` fixed draws, a column each."""
        drawn: np.ndarray = self.middle[:, None] + self.spread @ lattice(count, len(self.middle))
        return drawn

    @cached_property
    def draws(self) -> Draws:
        """The 512 draws of every coefficient of the model."""
        return draws_of(self.scores(DRAWS)[: len(Draws._fields)])


@lru_cache(maxsize=16)
def belief_of(taught: Taught) -> Normal:
    """Return what a kitchen believes that was taught so."""
    return Normal(np.array(taught.middle), np.array(taught.spread))


def untaught(size: int = COEFFICIENTS) -> Normal:
    """Return the belief before any bake."""
    return Normal(np.zeros(size), np.eye(size))


def fit(seen: Evidence, start: Normal | None = None) -> Normal:
    """Return what is believed of a kitchen after its trials, sought from `start` on."""
    if not seen.trays:
        return untaught()

    def trusting(scores: np.ndarray) -> np.ndarray:
        return _minus_ln(scores, ln_likelihoods(seen, scores, doubting=False))

    def doubting(scores: np.ndarray) -> np.ndarray:
        return _minus_ln(scores, ln_likelihoods(seen, scores))

    near = untaught() if start is None else start

    def sought() -> Normal:
        # Doubt alone could explain any log away, tray by tray: first the log is taken at its word.
        taken_at_its_word = least(trusting, near.middle)
        ends = [least(doubting, taken_at_its_word), least(doubting, near.middle)]
        values = doubting(np.stack(ends, axis=1))
        return about(doubting, ends[int(np.argmin(values))])

    return settled(doubting, near, sought)


def _minus_ln(scores: np.ndarray, told: np.ndarray) -> np.ndarray:
    return np.asarray((scores**2).sum(axis=0) / 2 - told.sum(axis=1))


def laplace(objective: Objective, size: int) -> Normal:
    """Return the normal belief about the least of `objective`, sought from the belief's middle."""
    return about(objective, least(objective, np.zeros(size)))


def least(objective: Objective, start: np.ndarray) -> np.ndarray:
    """Return where `objective` is least, downhill from `start`."""
    size = len(start)
    around = np.concatenate([np.zeros((size, 1)), STEP * np.eye(size), -STEP * np.eye(size)], 1)

    def with_slope(at: np.ndarray) -> tuple[float, np.ndarray]:
        values = objective(at[:, None] + around)
        return float(values[0]), (values[1 : size + 1] - values[size + 1 :]) / (2 * STEP)

    from scipy.optimize import minimize  # slow to load, and only trays call for it

    found = minimize(with_slope, start, jac=True, method="BFGS", options={"gtol": SLOPE_LEFT})
    return np.asarray(np.clip(found.x, -FARTHEST, FARTHEST))


def about(objective: Objective, middle: np.ndarray) -> Normal:
    """Return the normal belief with the curvature of `objective` at its `middle`."""
    curvatures, axes = np.linalg.eigh(_curvature(objective, middle))
    spread = (axes / np.sqrt(np.maximum(curvatures, LEAST_CURVATURE))) @ axes.T
    return Normal(middle, spread)


def settled(objective: Objective, near: Normal, sought: Callable[[], Normal]) -> Normal:
    """Return the normal with the mean and covariance of what `objective` makes likely, by weighted
    draws of a belief `near` it, or of the one that is `sought` where few of those count."""
    belief, counting = _weighed(objective, near)
    if counting < NEAR_ENOUGH:
        from_sought, counting_there = _weighed(objective, sought())
        if counting_there >= counting:
            belief, counting = from_sought, counting_there
    return belief if counting >= WELL_DRAWN else _weighed(objective, belief)[0]


def _weighed(objective: Objective, drawn_from: Normal) -> tuple[Normal, float]:
    """Return the normal set right by weighted draws, and which share of them counted."""
    scores = drawn_from.scores(WEIGHTED_DRAWS)
    away = np.linalg.solve(drawn_from.spread, scores - drawn_from.middle[:, None])
    ln_weights = (away**2).sum(axis=0) / 2 - objective(scores)
    weights = np.exp(ln_weights - ln_weights.max())
    weights /= weights.sum()
    counting = float(1 / (weights**2).sum())
    if counting < LEAST_EFFECTIVE_DRAWS:
        return drawn_from, 0.0
    middle = scores @ weights
    off = scores - middle[:, None]
    variances, axes = np.linalg.eigh((off * weights) @ off.T)
    widths = np.sqrt(np.clip(variances, 1e-9, 1 / LEAST_CURVATURE))
    return Normal(middle, (axes * widths) @ axes.T), counting / WEIGHTED_DRAWS


def _curvature(objective: Objective, at: np.ndarray) -> np.ndarray:
    size, h = len(at), CURVATURE_STEP
    pairs = [(i, j) for i in range(size) for j in range(i + 1, size)]
    each = np.eye(size) * h
    both = np.array([each[i] + each[j] for i, j in pairs]).reshape(-1, size).T
    steps = np.concatenate([np.zeros((size, 1)), each, -each, both, -both], axis=1)
    value = objective(at[:, None] + steps)
    middle, up, down = value[0], value[1 : size + 1], value[size + 1 : 2 * size + 1]
    ups, downs = np.split(value[2 * size + 1 :], 2)
    found = np.diag((up - 2 * middle + down) / h**2)
    for n, (i, j) in enumerate(pairs):
        mixed = ups[n] - up[i] - up[j] + 2 * middle - down[i] - down[j] + downs[n]
        found[i, j] = found[j, i] = mixed / (2 * h**2)
    return found
