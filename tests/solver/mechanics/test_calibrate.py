"""Learning from a kitchen's trials: against sums done another way, and against kitchens whose truth
is known."""

import math

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import quad
from scipy.special import expit

from models.recipe import MeasuredLine, Recipe
from models.trial import FlatRoundMeasured, Piece, Trial, TrialSheet
from solver.mechanics import lessons
from solver.mechanics.belief import Draws, lattice, untried
from solver.mechanics.calibrate import fit, laplace, settled, untaught
from solver.mechanics.chance import excess, growth_draws_mm, law_of
from solver.mechanics.dough import substances_of
from solver.mechanics.evidence import (
    COEFFICIENTS,
    TOLD_WRONG,
    draws_at,
    grades_ln,
    growths_mm,
    ln_likelihoods,
    strain_scores,
)
from solver.mechanics.lessons import learn
from solver.mechanics.trays import evidence_of
from tests.simulated_kitchens import SimulatedKitchen, any_plan, log_loss

FORMS = [
    {"kind": "cylinder", "diameter_mm": 80.0, "wrap_degrees": 150.0},
    {"kind": "dome", "diameter_mm": 100.0, "cap_degrees": 70.0},
    {"kind": "wave", "crest_radius_mm": 30.0, "slope_degrees": 50.0},
    {
        "kind": "cone",
        "base_diameter_mm": 120.0,
        "top_diameter_mm": 60.0,
        "height_mm": 100.0,
        "wrap_degrees": 200.0,
    },
    {"kind": "flat_round", "diameter_mm": 90.0},
    {"kind": "flat_panel", "width_mm": 100.0, "height_mm": 120.0},
    {"kind": "leaning_panel", "width_mm": 100.0, "height_mm": 120.0, "lean_degrees": 20.0},
]


def plan(seed=5, **members):
    """A tray of one piece, told otherwise in some members."""
    drawn = any_plan(np.random.default_rng(seed))
    return Trial.model_validate({**dict(drawn), **members})


def graded(*grades, seed=5, **members):
    """A tray of one thickness whose pieces have these grades."""
    pieces = tuple(Piece(crack_grade=grade) for grade in grades)
    return plan(seed, sheets=(TrialSheet(thickness_mm=4.0, pieces=pieces),), **members)


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form["kind"])
@pytest.mark.parametrize("chilled", [False, True])
def test_a_tray_is_judged_as_its_chance_is(form, chilled):
    """On every form the strains that trays are weighed by are those that a chance is made of, draw
    by draw, to what a table of slip lengths costs: 0.01 points of the chance."""
    tray = plan(form=form, chilled=chilled)
    z, _ = strain_scores(evidence_of([tray]), draws_at(lattice(512, COEFFICIENTS)))
    target = tray.target_at(tray.sheets[0].thickness_mm)
    direct = excess(law_of(target, untried()), substances_of(tray.formula))[:, 0]
    assert np.abs(expit(z[:, 0]) - expit(direct)).max() < 1e-3
    assert expit(z[:, 0]).mean() == pytest.approx(expit(direct).mean(), abs=1e-4)


def test_pieces_of_one_tray_are_not_so_many_witnesses():
    """The grades of a tray are as likely as the integral over what its pieces share, by adaptive
    quadrature, within the 4 in a hundred that seven nodes cost; four pieces alike tell less than
    four trays of one."""
    z, gap, share = 0.4, 0.9, 0.65

    def above(u, step):
        shared = math.pi / math.sqrt(3) * math.sqrt(share) * u
        return expit((z + step * gap + shared) / math.sqrt(1 - share))

    def of(u):  # two whole, one with a crack that shows
        whole, shows = 1 - above(u, 1), above(u, 0) - above(u, -1)
        return whole**2 * shows * stats.norm.pdf(u)

    seen = evidence_of([graded(0, 0, 2)])
    found = grades_ln(seen, np.array([[z]]), np.array([[gap]]))[0, 0]
    assert found == pytest.approx(math.log(quad(of, -9, 9)[0]), abs=0.04)
    together = grades_ln(evidence_of([graded(0, 0, 0, 0)]), np.array([[z]]), np.array([[gap]]))
    alone = grades_ln(evidence_of([graded(0)]), np.array([[z]]), np.array([[gap]]))
    assert 4 * alone[0, 0] < together[0, 0] < alone[0, 0]


def test_a_round_is_as_likely_as_students_t():
    """A round's growth is weighed by scipy's Student-t with 5 degrees of freedom about the growth
    that a chance is made with, its scale √(0.5² + (0.2 m)²) mm."""
    measured = FlatRoundMeasured(thickness_mm=4.8, before_mm=60.0, after_mm=64.0)
    tray = plan(sheets=(), flat_round=measured)
    scores = lattice(512, COEFFICIENTS)
    seen = evidence_of([tray])
    grown = growths_mm(seen.rounds, draws_at(scores))[:, 0]
    target = plan(form={"kind": "flat_round", "diameter_mm": 60.0}).target_at(4.8)
    target = target.rolled(4.8, chilled=tray.chilled)
    direct = growth_draws_mm(substances_of(tray.formula), target, untried())
    assert grown == pytest.approx(direct, rel=1e-6)
    density = stats.t.pdf(4.0, 5, loc=direct, scale=np.sqrt(0.25 + (0.2 * direct) ** 2))
    doubted = (1 - TOLD_WRONG) * density + TOLD_WRONG / 60
    assert ln_likelihoods(seen, scores)[:, 0] == pytest.approx(np.log(doubted), abs=1e-9)


def test_the_fit_of_a_normal_belief_is_the_textbooks():
    """Against a straight line seen with known noise, middle and spread are those of Bayesian linear
    regression in closed form."""
    chances = np.random.default_rng(3)
    design, seen = chances.normal(size=(12, 4)), chances.normal(size=12)
    precision = np.eye(4) + design.T @ design / 0.25

    def objective(scores):
        off = seen[:, None] - design @ scores
        return (scores**2).sum(axis=0) / 2 + (off**2).sum(axis=0) / 0.5

    found = laplace(objective, 4)
    assert found.middle == pytest.approx(
        np.linalg.solve(precision, design.T @ seen / 0.25), abs=1e-3
    )
    assert found.spread @ found.spread == pytest.approx(np.linalg.inv(precision), abs=1e-6)


def test_the_fit_of_a_ridge_logit_is_newtons():
    """Against yes and no the middle is where Newton's method by hand ends, the spread from its
    Hessian."""
    chances = np.random.default_rng(4)
    design = chances.normal(size=(60, 3))
    yes = chances.random(60) < expit(design @ [1.0, -2.0, 0.3])
    at = np.zeros(3)
    for _ in range(30):
        p = expit(design @ at)
        hessian = np.eye(3) + design.T @ (design * (p * (1 - p))[:, None])
        at = at + np.linalg.solve(hessian, design.T @ (yes - p) - at)

    def objective(scores):
        logit = design @ scores
        told = np.where(yes[:, None], -np.logaddexp(0, -logit), -np.logaddexp(0, logit))
        return (scores**2).sum(axis=0) / 2 - told.sum(axis=0)

    found = laplace(objective, 3)
    assert found.middle == pytest.approx(at, abs=1e-3)
    assert found.spread @ found.spread == pytest.approx(np.linalg.inv(hessian), rel=0.02, abs=1e-4)


def test_a_skewed_belief_is_set_right():
    """Four pieces that all cracked, in a kitchen of three coefficients: mean and covariance are
    those of the belief summed over a fine grid, where the most likely point with its curvature is
    off by a tenth."""
    design = np.array([[1.0, 0.5, 0.0], [2.0, -0.5, 0.3], [1.5, 0.0, -1.0], [2.0, 1.0, 0.0]])

    def objective(scores):
        return (scores**2).sum(axis=0) / 2 + np.logaddexp(0, -2 * (design @ scores)).sum(axis=0)

    ticks = np.linspace(-5, 5, 81)
    grid = np.stack(np.meshgrid(ticks, ticks, ticks)).reshape(3, -1)
    weights = np.exp(-objective(grid))
    weights /= weights.sum()
    mean = grid @ weights
    covariance = ((grid - mean[:, None]) * weights) @ (grid - mean[:, None]).T
    near = laplace(objective, 3)
    found = settled(objective, untaught(3), lambda: near)
    assert np.abs(near.middle - mean).max() > 0.1
    assert found.middle == pytest.approx(mean, abs=0.02)
    assert found.spread @ found.spread == pytest.approx(covariance, abs=0.02)


def test_middling_cracks_are_taken_for_what_they_are():
    """Three pieces graded 3, 2 and 3 where fully broken ones were likely: the chance of a crack is
    the mean over 40,000 draws of the belief by how likely each makes the tray, within 2 points.
    The most likely coefficients alone would give 18 points more."""
    grams = {
        "all-purpose flour": 437.5,
        "unsalted butter": 227.0,
        "egg": 50.0,
        "brown sugar": 165.0,
        "molasses": 112.0,
        "baking soda": 6.9,
    }
    lines = tuple(
        MeasuredLine(ingredient=name, quantity=each, unit="g") for name, each in grams.items()
    )
    pieces = tuple(Piece(crack_grade=grade) for grade in (3, 2, 3))
    tray = plan(
        recipe=Recipe(lines=lines),
        form={"kind": "cylinder", "diameter_mm": 70.0, "wrap_degrees": 120.0},
        sheets=(TrialSheet(thickness_mm=5.0, pieces=pieces),),
        chilled=False,
    )
    scores = np.random.default_rng(1).normal(size=(COEFFICIENTS, 40_000))
    seen = evidence_of([tray])
    weights = np.exp(ln_likelihoods(seen, scores)[:, 0])
    z, _ = strain_scores(seen, draws_at(scores))
    expected = float(weights @ expit(z)[:, 0] / weights.sum())
    assert chance_of(fit(seen), tray) == pytest.approx(expected, abs=0.02)


def test_without_trials_a_kitchen_is_the_untried_one():
    """The draws of a kitchen of which nothing was told are those of the published figures."""
    for mine, theirs in zip(fit(evidence_of([])).draws, untried(), strict=True):
        assert mine == pytest.approx(theirs, rel=1e-12)


def test_the_same_trials_teach_the_same():
    """Fitted twice, every draw is the same to the last digit."""
    trays = [graded(3, 3), graded(0, seed=6)]
    again = fit(evidence_of(trays)).draws
    for mine, theirs in zip(fit(evidence_of(trays)).draws, again, strict=True):
        assert (mine == theirs).all()


def chance_of(belief, tray):
    z, _ = strain_scores(evidence_of([tray]), draws_at(belief.scores(512)))
    return float(expit(z).mean())


def test_cracks_raise_a_chance_and_whole_pieces_lower_it():
    """Ten broken pieces on a tray raise the chance of just that tray, ten whole ones lower it, and
    one whole piece lowers it by less than ten do."""
    before = chance_of(untaught(), graded(0))
    broken, whole, one = (
        chance_of(fit(evidence_of([graded(*grades)])), graded(0))
        for grades in ([4] * 10, [0] * 10, [0])
    )
    assert broken > before > one > whole


def test_a_hundred_trays_of_nonsense_stay_finite():
    """Grades by lot, the same dough whole and in pieces: a chance between nought and one, and a
    spread without a hole."""
    chances = np.random.default_rng(9)
    trays = [
        graded(*(int(g) for g in chances.integers(0, 5, 6)), seed=int(chances.integers(9)))
        for _ in range(100)
    ]
    belief = learn(trays).belief
    assert np.isfinite(belief.spread).all()
    assert 0.2 < chance_of(belief, graded(0)) < 0.9


def test_of_very_many_trays_the_newest_count(monkeypatch):
    """Where six may count, the oldest go two at a time, so that most trays leave what was learned
    before them as it is; the newest always counts."""
    monkeypatch.setattr(lessons, "MOST_TRAYS", 6)
    monkeypatch.setattr(lessons, "DROPPED_AT_ONCE", 2)
    trays = [graded(grade % 3, seed=grade) for grade in range(11)]
    assert learn(trays).trials == tuple(trays[6:])
    assert learn(trays[:10]).trials == tuple(trays[4:10])
    assert learn(trays[:9]).trials == tuple(trays[4:9])
    assert learn(trays[:6]).trials == tuple(trays[:6])


def test_a_tray_is_foretold_before_it_is_learned_from():
    """What was foretold of the first six trays is the same however many came after."""
    kitchen, chances = SimulatedKitchen.drawn(11), np.random.default_rng(12)
    trays = [kitchen.bake(any_plan(chances)) for _ in range(9)]
    assert learn(trays[:6]).lessons == learn(trays).lessons[:6]


PUBLISHED = {0: 0.440, 5: 0.392, 20: 0.373, 40: 0.363}
PUBLISHED_TRUTH = 0.337
"""The belief's own page: 24 synthetic kitchens, 200 pieces kept back in each, in log-loss."""


def test_kitchens_are_recovered():
    """In six kitchens drawn from the belief, with batches that the fit knows nothing of, the
    log-loss of 150 pieces kept back, as a multiple of what the truth itself loses, is after 0, 5,
    20 and 40 trays no more than the page's by more than 3 in a hundred; the first twenty make it
    fall."""
    losses = dict.fromkeys((*PUBLISHED, "truth"), 0.0)
    for seed in range(6):
        kitchen, chances = SimulatedKitchen.drawn(seed), np.random.default_rng(1000 + seed)
        plans = [any_plan(chances) for _ in range(150)]
        cracked, likely = map(np.array, zip(*map(kitchen.cracks, plans), strict=True))
        trays = [kitchen.bake(any_plan(chances)) for _ in range(40)]
        losses["truth"] += log_loss(likely, cracked)
        kept_back = evidence_of(plans)
        for count in PUBLISHED:
            scores = fit(evidence_of(trays[:count])).scores(512)
            z, _ = strain_scores(kept_back, draws_at(scores))
            losses[count] += log_loss(expit(z).mean(axis=0), cracked)
    told = [losses[count] for count in PUBLISHED]
    assert told[0] > told[1] > told[2]
    for count in (5, 20, 40):
        assert losses[count] / losses["truth"] <= 1.03 * PUBLISHED[count] / PUBLISHED_TRUTH


def test_every_coefficient_is_a_draw():
    """A kitchen's draws have as many numbers for each coefficient as an untried kitchen's."""
    draws = fit(evidence_of([graded(2)])).draws
    assert isinstance(draws, Draws)
    assert {np.shape(coefficient) for coefficient in draws} == {(512,)}
