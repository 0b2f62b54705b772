"""Trays as arrays: what a kitchen baked, or might bake, laid out for sums over many coefficients.

What a form asks is tabulated once for each sheet, over the slip lengths that may be, so that trays
on any forms stand in one array. How likely they are is `solver.mechanics.evidence`.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple, assert_never

import numpy as np

from models.form import AnyForm, Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from models.trial import Trial
from models.trial_scales import CRACK_GRADES
from solver.mechanics.dough import Substances, substances_of
from solver.mechanics.flow import DENSITY, GRAVITY
from solver.mechanics.sheet import MM, FormStrains, form_strains, power_of

CENTRED_WITHIN_DEGREES = 5.0
"""How truly a piece lies centred on its form. Judgement; wholly centred it never slid."""

LN_SLIPS = np.log(1e-3) + np.arange(-45, 46) / 10
"""Where what a form asks is tabulated: linear between, to a few parts in ten thousand."""


class RoundSeen(NamedTuple):
    """Flat rounds that were measured: each tray's, its diameter, thickness and growth [mm]."""

    tray: np.ndarray
    substances: Substances
    chilled: np.ndarray
    diameter_mm: np.ndarray
    thickness_mm: np.ndarray
    grew_mm: np.ndarray


class Evidence(NamedTuple):
    """Trays as arrays: a row for each thickness on a tray, and the rounds beside them."""

    trays: int
    tray: np.ndarray
    substances: Substances
    chilled: np.ndarray
    thickness_mm: np.ndarray
    bend: np.ndarray
    per_rise: np.ndarray
    ln_pull: np.ndarray  # ln e at each of the tabulated slip lengths, rows by lengths
    bent_to: np.ndarray  # radius [m] by which a sheet thins; none where it lies flat
    twice: np.ndarray  # a dome thins both ways
    counts: np.ndarray  # pieces by grade, rows by grades
    slid: np.ndarray
    ln_seat_pa: np.ndarray  # −∞ where nothing can slide
    rounds: RoundSeen

    @property
    def pieces(self) -> int:
        """How many pieces were baked in all."""
        return int(self.counts.sum())


def evidence_of(trials: Sequence[Trial]) -> Evidence:
    """Return trials as arrays, in their order."""
    rows = [(k, trial, sheet) for k, trial in enumerate(trials) for sheet in trial.sheets]
    strains = [form_strains(t.form, s.thickness_mm, np.exp(LN_SLIPS)) for _, t, s in rows]
    counts = np.zeros((len(rows), len(CRACK_GRADES)))
    for at, (_, _, sheet) in enumerate(rows):
        for piece in sheet.pieces:
            counts[at, piece.crack_grade] += 1
    return Evidence(
        trays=len(trials),
        tray=np.array([k for k, _, _ in rows], dtype=int),
        substances=_stacked([substances_of(trial.formula) for _, trial, _ in rows]),
        chilled=np.array([float(trial.chilled) for _, trial, _ in rows]),
        thickness_mm=np.array([sheet.thickness_mm for _, _, sheet in rows]),
        bend=np.array([float(np.max(x.bend)) for x in strains]),
        per_rise=np.array([float(np.max(x.per_rise)) for x in strains]),
        ln_pull=_ln_pulls(strains),
        bent_to=np.array([_thinning_radius(trial.form) for _, trial, _ in rows]),
        twice=np.array([_ways_thinned(t.form) for _, t, _ in rows]),
        counts=counts,
        slid=np.array([float(sum(p.slipped for p in sheet.pieces)) for _, _, sheet in rows]),
        ln_seat_pa=np.array([_ln_seat(t.form, s.thickness_mm) for _, t, s in rows]),
        rounds=_rounds_of(trials),
    )


def evidence_of_plans(
    form: AnyForm, thickness_mm: np.ndarray, chilled: np.ndarray, substances: Substances
) -> Evidence:
    """Return sheets on one form as trays of their own, with nothing told of any."""
    rolled = np.unique(thickness_mm)
    at = np.searchsorted(rolled, thickness_mm)
    strains = [form_strains(form, float(t), np.exp(LN_SLIPS)) for t in rolled]
    count = len(thickness_mm)
    return Evidence(
        trays=count,
        tray=np.arange(count),
        substances=substances,
        chilled=chilled,
        thickness_mm=thickness_mm,
        bend=np.array([float(np.max(x.bend)) for x in strains])[at],
        per_rise=np.array([float(np.max(x.per_rise)) for x in strains])[at],
        ln_pull=_ln_pulls(strains)[at],
        bent_to=np.full(count, _thinning_radius(form)),
        twice=np.full(count, 2.0 if isinstance(form, Dome) else 1.0),
        counts=np.zeros((count, len(CRACK_GRADES))),
        slid=np.zeros(count),
        ln_seat_pa=np.full(count, -math.inf),
        rounds=_rounds_of(()),
    )


def _ln_pulls(strains: Sequence[FormStrains]) -> np.ndarray:
    """Return ln e at each of the tabulated slip lengths, rows by lengths."""
    with np.errstate(divide="ignore"):  # a leaning panel does not flow: ln 0 is −∞
        pulls = [np.log(np.broadcast_to(x.per_fluidity, LN_SLIPS.shape)) for x in strains]
    rows = np.array(pulls).reshape(len(strains), len(LN_SLIPS))
    return np.asarray(np.maximum(rows, -500.0))


def _thinning_radius(form: AnyForm) -> float:
    """Return the radius by which `power_of` thins a sheet on `form`; infinite where it is flat."""
    if form.radius_mm is None:
        return math.inf
    t, slip = 4 * MM, 1e-3
    ratio = _ways_thinned(form) * (1 + t / (t + 3 * slip)) / float(power_of(form, t, slip)) - 1
    return math.sqrt(4 * t * (t + 3 * slip) / 3 / ratio)


def _ways_thinned(form: AnyForm) -> float:
    """Return in how many directions a sheet stretches, and thins, on `form`."""
    match form:
        case Dome():
            return 2.0
        case Cylinder() | Cone() | Wave() | FlatRound() | FlatPanel() | LeaningPanel():
            return 1.0
        case _:
            assert_never(form)


def _ln_seat(form: AnyForm, thickness_mm: float) -> float:
    """Return ln τ, τ = ρ g t |cos φ1 − cos φ2| / (φ2 − φ1) [Pa], of a piece laid as truly as hands
    lay it; −∞ where nothing pulls it off."""
    match form:
        case Cylinder() | Wave() | Dome():
            half, off = math.radians(form.half_wrap_degrees), math.radians(CENTRED_WITHIN_DEGREES)
            pull = abs(math.cos(off - half) - math.cos(off + half)) / (2 * half)
            return math.log(DENSITY * GRAVITY * thickness_mm * MM * pull)
        case Cone() | FlatRound() | FlatPanel() | LeaningPanel():
            return -math.inf
        case _:
            assert_never(form)


def _rounds_of(trials: Sequence[Trial]) -> RoundSeen:
    seen = [(k, t, t.flat_round) for k, t in enumerate(trials) if t.flat_round is not None]
    return RoundSeen(
        tray=np.array([k for k, _, _ in seen], dtype=int),
        substances=_stacked([substances_of(trial.formula) for _, trial, _ in seen]),
        chilled=np.array([float(trial.chilled) for _, trial, _ in seen]),
        diameter_mm=np.array([measured.before_mm for _, _, measured in seen]),
        thickness_mm=np.array([measured.thickness_mm for _, _, measured in seen]),
        grew_mm=np.array([measured.grew_mm for _, _, measured in seen]),
    )


def _stacked(kinds: Sequence[Substances]) -> Substances:
    columns = zip(*kinds, strict=True) if kinds else [[] for _ in Substances._fields]
    return Substances(*(np.array(column, dtype=float) for column in columns))
