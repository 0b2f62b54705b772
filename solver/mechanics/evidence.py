"""What trays tell: how likely a kitchen's trials are, for any coefficients of the model.

    one tray:  ∫ φ(u) Π P(grade | (z + 1.814 √ρ u)/√(1−ρ), γ/√(1−ρ)) du,  ρ = 0.65
    a round:   Student-t with 5 degrees of freedom about the growth m, scale √(0.5² + (0.2 m)²) mm
    a slide:   logistic(s0 + s1 ln(τ / 50 Pa) + s2 (ln q − ln 1.5))

Pieces of one tray share its mixing and its bake, so they are not so many separate witnesses: u is
what they share. One tray in a hundred is taken to be told wrong: none alone overturns the rest.
Everything is worked out for many coefficients at once. What is believed before any bake is
`solver.mechanics.belief`, what follows from the trays `solver.mechanics.calibrate`.
"""

import math
from typing import Any, TypeAlias

import numpy as np

from models.trial_scales import CRACK_GRADES
from solver.mechanics.belief import Draws, draws_of
from solver.mechanics.dough import (
    FIRM_IN_THE_COLD,
    REFERENCE_FAT,
    Substances,
    state_of,
)
from solver.mechanics.flow import outer_face, round_growth
from solver.mechanics.sheet import FLAT_POWER, MM, ln_fluidity_factor
from solver.mechanics.special import expit
from solver.mechanics.trays import LN_SLIPS, Evidence, RoundSeen

BATCH_SHARE = 0.65
"""ρ: how much of the scatter the pieces of a batch share; 0.64 by Cook's cakes (1938)."""
LOGISTIC_SD = 1.814
"""π/√3: the standard deviation of a logistic's scatter, in which u is measured."""
TOLD_WRONG = 0.01
"""The share of trays in which grades or measures are taken to mean nothing. Judgement."""
ROUND_MM, ROUND_SHARE, ROUND_FREEDOM = 0.5, 0.2, 5
"""How far a measured round strays: this much, and this share of its growth, with long tails."""
SLIDES_LN_PA = math.log(50.0)
SLIDE_BELIEF = ((-2.0, 0.8), (1.5, 0.5), (0.8, 0.3))
"""s0, s1, s2 with their spreads: judgement."""

NODES, _RAW = np.polynomial.hermite_e.hermegauss(7)
WEIGHTS = _RAW / _RAW.sum()
"""What pieces of a tray share, in standard deviations, and how likely each is."""
_LN_WEIGHTS = np.log(WEIGHTS)
FARTHEST_SCORE = 12.0
"""Beyond it a coefficient is as if it were there: a search may look so far, and no power of e may
overflow."""
ANY_GROWTH_MM = 60.0
"""Within how much a round's growth lies that was written down wrong."""
_LEAST = 1e-12
Scores: TypeAlias = np.ndarray
"""Standard normal scores: coefficients by cases, the belief's 19 and then the slide's 3."""


def ln_likelihoods(seen: Evidence, scores: Scores, *, doubting: bool = True) -> np.ndarray:
    """Return the logarithm of how likely each tray is, cases by trays; `doubting`, one tray in
    a hundred is taken to be told wrong."""
    draws = draws_at(scores)
    told = np.zeros((scores.shape[1], seen.trays))
    if seen.tray.size:
        z, ln_q = strain_scores(seen, draws)
        told += grades_ln(seen, z, draws.grade_gap)
        _add_by_tray(told, seen.tray, _slides_ln(seen, scores[_SLIDE], ln_q))
    if seen.rounds.tray.size:
        _add_by_tray(told, seen.rounds.tray, _rounds_ln(seen.rounds, draws))
    return doubted(told, _nonsense_ln(seen)) if doubting else told


def doubted(told: np.ndarray, nonsense: np.ndarray) -> np.ndarray:
    """Return how likely trays are where one in a hundred is told wrong."""
    return np.logaddexp(math.log1p(-TOLD_WRONG) + told, math.log(TOLD_WRONG) + nonsense)


def draws_at(scores: Scores) -> Draws:
    """Return the belief's coefficients at these scores, a column for each case."""
    near = np.clip(scores[: len(Draws._fields)], -FARTHEST_SCORE, FARTHEST_SCORE)
    return Draws(*(np.asarray(c)[:, None] for c in draws_of(near)))


_SLIDE = slice(len(Draws._fields), len(Draws._fields) + len(SLIDE_BELIEF))
COEFFICIENTS = len(Draws._fields) + len(SLIDE_BELIEF)


def strain_scores(seen: Evidence, draws: Draws) -> tuple[np.ndarray, np.ndarray]:
    """Return z and ln q of every row, cases by rows."""
    slip = np.exp(draws.ln_slip)
    t = seen.thickness_mm * MM
    state = state_of(seen.substances, False, draws)
    ln_q = (
        state.ln_growth + seen.chilled * draws.chilled * _cold_fat(seen.substances) / REFERENCE_FAT
    )
    place = np.clip((draws.ln_slip - LN_SLIPS[0]) * 10, 0, len(LN_SLIPS) - 1.001)
    low = place.astype(int)[:, 0]
    part = place - low[:, None]
    ln_e = seen.ln_pull.T[low] * (1 - part) + seen.ln_pull.T[low + 1] * part
    ln_flow = ln_q + ln_e + ln_fluidity_factor(seen.thickness_mm, slip, draws.thickness_power)
    power = _power(seen, t, slip)
    flow = np.log1p(power * np.exp(np.minimum(ln_flow, 500.0))) / power
    demand = seen.bend + seen.per_rise * state.rise + outer_face(t, slip) * flow
    return (demand - state.crack_strain) / np.exp(draws.ln_scatter), ln_q


def doubted_grades_ln(seen: Evidence, z: np.ndarray, gap: np.ndarray) -> np.ndarray:
    """Return how likely each tray's grades are where one tray in a hundred is told wrong."""
    nonsense = np.zeros(seen.trays)
    np.add.at(nonsense, seen.tray, -math.log(len(CRACK_GRADES)) * seen.counts.sum(axis=1))
    return doubted(grades_ln(seen, z, gap), nonsense)


def grades_ln(seen: Evidence, z: np.ndarray, gap: np.ndarray) -> np.ndarray:
    """Return the logarithm of how likely each tray's grades are, cases by trays."""
    widened = math.sqrt(1 - BATCH_SHARE)
    shared = LOGISTIC_SD * math.sqrt(BATCH_SHARE) * NODES
    at = (z[..., None] + shared) / widened
    step = gap[..., None] / widened
    told = np.zeros(at.shape)
    for grade, counts in enumerate(seen.counts.T):
        rows = np.flatnonzero(counts)
        if rows.size:
            likely = _share_of_grade(grade, at[:, rows], step)
            told[:, rows] += counts[rows, None] * np.log(np.maximum(likely, _LEAST))
    by_tray = _LN_WEIGHTS + np.zeros((z.shape[0], seen.trays, len(NODES)))
    _add_by_tray(by_tray, seen.tray, told)
    highest = by_tray.max(axis=2, keepdims=True)
    summed: np.ndarray = highest[..., 0] + np.log(np.exp(by_tray - highest).sum(axis=2))
    return summed


def _share_of_grade(grade: int, at: np.ndarray, step: np.ndarray) -> Any:
    """Return how many pieces have a grade: those above it taken from those above the one below."""
    worst = len(CRACK_GRADES) - 1
    if grade == 0:
        return expit(-(at + step))
    from_below = expit(at + (2 - grade) * step)
    return from_below if grade == worst else from_below - expit(at + (1 - grade) * step)


def _nonsense_ln(seen: Evidence) -> np.ndarray:
    """Return how likely each tray is where what is told of it means nothing."""
    told = np.zeros(seen.trays)
    np.add.at(told, seen.tray, -math.log(len(CRACK_GRADES)) * seen.counts.sum(axis=1))
    np.add.at(told, seen.rounds.tray, -math.log(ANY_GROWTH_MM))
    return told


def _slides_ln(seen: Evidence, slide: np.ndarray, ln_q: np.ndarray) -> np.ndarray:
    s0, s1, s2 = ((b + d * x)[:, None] for (b, d), x in zip(SLIDE_BELIEF, slide, strict=True))
    can = np.isfinite(seen.ln_seat_pa)
    pull = np.where(can, seen.ln_seat_pa, 0.0) - SLIDES_LN_PA
    logit = s0 + np.maximum(s1, 0.0) * pull + s2 * (ln_q - math.log(1.5))
    stayed = seen.counts.sum(axis=1) - seen.slid
    told = -seen.slid * np.logaddexp(0, -logit) - stayed * np.logaddexp(0, logit)
    return np.where(can, told, 0.0)


def growths_mm(rounds: RoundSeen, draws: Draws) -> np.ndarray:
    """Return how much each round should have grown [mm], cases by rounds."""
    slip = np.exp(draws.ln_slip)
    state = state_of(rounds.substances, False, draws)
    cold = rounds.chilled * draws.chilled * _cold_fat(rounds.substances) / REFERENCE_FAT
    ln_flow = (
        state.ln_growth
        + cold
        + ln_fluidity_factor(rounds.thickness_mm, slip, draws.thickness_power)
    )
    e = _strains_per_fluidity(rounds, slip)
    strained = np.log1p(FLAT_POWER * e * np.exp(np.minimum(ln_flow, 500.0))) / FLAT_POWER
    grown: np.ndarray = rounds.diameter_mm * (np.expm1(strained) + draws.widening * state.rise)
    return grown


def _strains_per_fluidity(rounds: RoundSeen, slip: np.ndarray) -> np.ndarray:
    """Return e of each round, cases by rounds; rounds of one size are worked out once."""
    sizes = np.stack([rounds.thickness_mm, rounds.diameter_mm]) * MM
    (thickness, across), which = np.unique(sizes, axis=1, return_inverse=True)
    e = round_growth(thickness, across / 2, 1.0, slip) / across
    return np.asarray(e[:, which.reshape(-1)])


def _rounds_ln(rounds: RoundSeen, draws: Draws) -> np.ndarray:
    grown = growths_mm(rounds, draws)
    scale = np.sqrt(ROUND_MM**2 + (ROUND_SHARE * grown) ** 2)
    off = (rounds.grew_mm - grown) / scale
    nu = ROUND_FREEDOM
    level = math.lgamma((nu + 1) / 2) - math.lgamma(nu / 2) - math.log(nu * math.pi) / 2
    told: np.ndarray = level - np.log(scale) - (nu + 1) / 2 * np.log1p(off**2 / nu)
    return told


def _add_by_tray(told: np.ndarray, tray: np.ndarray, by_row: np.ndarray) -> None:
    if tray.size:  # rows of a tray follow each other
        first = np.flatnonzero(np.diff(tray, prepend=-1))
        told[:, tray[first]] += np.add.reduceat(by_row, first, axis=1)


def _power(seen: Evidence, t: np.ndarray, slip: np.ndarray) -> np.ndarray:
    length2 = 4 * t * (t + 3 * slip) / 3
    bent = seen.twice * (1 + t / (t + 3 * slip)) / (1 + length2 / seen.bent_to**2)
    return np.where(np.isfinite(seen.bent_to), np.maximum(bent, 1e-9), FLAT_POWER)


def _cold_fat(substances: Substances) -> Any:
    return (
        100 * (substances.butter_fat + FIRM_IN_THE_COLD * substances.firm_fat) / substances.solids
    )
