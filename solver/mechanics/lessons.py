"""Lessons: what each tray of a kitchen taught, in the order in which they were baked.

Before a tray is learned from it is foretold, by the model of the sheet and by the plain tally, and
the two are scored by what happened: that is how far a kitchen leans on either. What is believed
between two fits is the last fit's draws, weighted by the trays since.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np

from models.trial import Trial
from solver.mechanics.calibrate import Normal, fit
from solver.mechanics.evidence import (
    doubted_grades_ln,
    draws_at,
    growths_mm,
    ln_likelihoods,
    strain_scores,
)
from solver.mechanics.special import expit, logsumexp
from solver.mechanics.tally import tallied, tally_ln
from solver.mechanics.trays import Evidence, evidence_of

TALLY_BEFORE = 0.4
"""How far a kitchen leans on the tally before any bake. Judgement."""
CASES = 512
MOST_TRAYS = 200
"""Of more, the newest count: ovens and flours change, and an answer must not take for ever."""
DROPPED_AT_ONCE = 50
"""The oldest go so many at a time: what was learned before the newest tray still stands."""
_REFITS = (0, 1, 2, 3, 5, 8, 13, 21, 34, 55, 89, 144)
"""The trays after which all is fitted anew: often at first, when each teaches much."""


@dataclass(frozen=True)
class Lesson:
    """One tray: what was foretold, what happened, and what is foretold of the same tray since.

    Chances are per cent of pieces with a crack that shows; growth is in mm, None without a round.
    """

    foretold_percent: float | None
    cracked_percent: float | None
    since_percent: float | None
    pieces: int
    grew_mm: float | None
    foretold_growth_mm: tuple[float, float, float] | None
    ln_by_sheet: float
    ln_by_tally: float
    surprise: float


@dataclass(frozen=True, eq=False)
class Learned:
    """All that a kitchen's trials taught: the belief that is left, the tally, and the lessons."""

    trials: tuple[Trial, ...]
    belief: Normal
    tally: Normal
    lessons: tuple[Lesson, ...]

    @cached_property
    def evidence(self) -> Evidence:
        """The trials as arrays."""
        return evidence_of(self.trials)

    @property
    def tally_share(self) -> float:
        """How far the kitchen leans on the plain tally, 0 to 1, by what either foretold."""
        ahead = sum(lesson.ln_by_sheet - lesson.ln_by_tally for lesson in self.lessons)
        odds = np.log(TALLY_BEFORE / (1 - TALLY_BEFORE)) - ahead
        return float(expit(odds))


def learn(trials: Sequence[Trial]) -> Learned:
    """Return what `trials` teach, told in the order in which they were baked; of very many, what
    the newest do."""
    too_many = max(0, len(trials) - MOST_TRAYS)
    newest = tuple(trials[math.ceil(too_many / DROPPED_AT_ONCE) * DROPPED_AT_ONCE :])
    return Learned(newest, *_believed_after(newest), tuple(_lessons(newest)))


@lru_cache(maxsize=64)
def _believed_after(trials: tuple[Trial, ...]) -> tuple[Normal, Normal]:
    """Return what is believed of the sheet after these trials, and by the tally.

    What was believed at the last fit before them is where the search begins; it is remembered, so
    that one more tray costs one more fit.
    """
    earlier = [k for k in _REFITS if k < len(trials)]
    start = _believed_after(trials[: earlier[-1]])[0] if earlier else None
    seen = evidence_of(trials)
    return fit(seen, start), tallied(seen)


def _lessons(trials: tuple[Trial, ...]) -> Iterator[Lesson]:
    stops = [k for k in _REFITS if k < len(trials)]
    for start, stop in pairwise([*stops, len(trials)]):
        yield from _lessons_between(trials[:start], trials[start:stop])


@lru_cache(maxsize=64)
def _lessons_between(before: tuple[Trial, ...], ahead: tuple[Trial, ...]) -> tuple[Lesson, ...]:
    return tuple(_block(*_believed_after(before), evidence_of(ahead)))


def _block(belief: Normal, tally: Normal, ahead: Evidence) -> Iterator[Lesson]:
    scores, plain = belief.scores(CASES), tally.scores(CASES)
    draws = draws_at(scores)
    z, _ = strain_scores(ahead, draws) if ahead.tray.size else (np.zeros((CASES, 0)), None)
    by_sheet, by_tally = doubted_grades_ln(ahead, z, draws.grade_gap), tally_ln(ahead, plain)
    likely = ln_likelihoods(ahead, scores)
    grown = growths_mm(ahead.rounds, draws)
    weights, plain_weights = np.zeros(CASES), np.zeros(CASES)
    for tray in range(ahead.trays):
        rows = ahead.tray == tray
        after = weights + likely[:, tray]
        with_round = weights + (likely[:, tray] - by_sheet[:, tray] if rows.any() else 0.0)
        counts = ahead.counts[rows]
        pieces = counts.sum(axis=1)
        in_all = float(pieces.sum())
        chance = 100 * expit(z[:, rows]) @ (pieces / in_all) if in_all else None
        measured = np.flatnonzero(ahead.rounds.tray == tray)
        yield Lesson(
            foretold_percent=None if chance is None else _mean_percent(chance, weights),
            cracked_percent=None if not in_all else float(100 * counts[:, 2:].sum() / in_all),
            since_percent=None if chance is None else _mean_percent(chance, after),
            pieces=int(in_all),
            grew_mm=float(ahead.rounds.grew_mm[measured[0]]) if measured.size else None,
            foretold_growth_mm=_spread(grown[:, measured[0]], weights) if measured.size else None,
            ln_by_sheet=_mean_ln(by_sheet[:, tray], with_round),
            ln_by_tally=_mean_ln(by_tally[:, tray], plain_weights),
            surprise=-_mean_ln(likely[:, tray], weights),
        )
        weights, plain_weights = after, plain_weights + by_tally[:, tray]


def _mean_percent(values: np.ndarray, ln_weights: np.ndarray) -> float:
    weights = np.exp(ln_weights - ln_weights.max())
    return min(float(values @ weights / weights.sum()), 100.0)  # rounding may carry it past


def _mean_ln(ln_values: np.ndarray, ln_weights: np.ndarray) -> float:
    return float(logsumexp(ln_values + ln_weights) - logsumexp(ln_weights))


def _spread(values: np.ndarray, ln_weights: np.ndarray) -> tuple[float, float, float]:
    """Return the 10th, 50th and 90th percentiles of weighted draws."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(np.exp(ln_weights - ln_weights.max())[order])
    low, middle, high = np.interp((0.1, 0.5, 0.9), reached / reached[-1], values[order])
    return float(low), float(middle), float(high)
