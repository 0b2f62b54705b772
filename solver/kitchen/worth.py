"""Worth: how likely each way holds in this kitchen, and what one more tray would be worth.

    loss of a way = its cost in texture + penalty × (1 − P(it holds))
    worth of a tray = least loss now − least loss expected after it − the bake

A way holds where its chance of a crack that shows is under 15 %, and is counted so where that is
under 12 % (`COUNTED_BELOW`). What a tray may show is put into eight classes: nothing cracks, only
the thickest does, the middle too, or even the thinnest; and the round grows more than expected, or
less. The belief is the sheet's own draws and the plain tally's, each weighted by how well it has
foretold so far.
"""

from dataclasses import dataclass

import numpy as np

from solver.kitchen.ways import Ways
from solver.mechanics.evidence import (
    BATCH_SHARE,
    LOGISTIC_SD,
    NODES,
    ROUND_MM,
    ROUND_SHARE,
    WEIGHTS,
    draws_at,
    growths_mm,
    strain_scores,
)
from solver.mechanics.lessons import Learned
from solver.mechanics.special import expit, logit, ndtr
from solver.mechanics.tally import tally_scores
from solver.mechanics.trays import RoundSeen

HOLDS_BELOW = 0.15
"""The chance of a crack below which a way is good enough to publish."""
COUNTED_BELOW = 0.12
"""The chance below which a draw is counted as holding: with this to spare for what the belief does
not know. Tried on simulated kitchens."""
SHEET_DRAWS, TALLY_DRAWS = 512, 256
PIECES_AT_THE_WAY, PIECES_BESIDE = 2, 1
SCREENED, CHEAPEST, LEAST_LIKELY, JUDGED_AFTER = 24, 16, 0.05, 80
ROUND_ACROSS_MM = 60.0


@dataclass(frozen=True)
class Leaning:
    """What a crack costs against a change of the recipe, and what a bake does."""

    penalty: float
    bake: float


SAFER, CLOSER = Leaning(penalty=2.3, bake=0.06), Leaning(penalty=1.5, bake=0.06)
"""Judgement, tried on simulated kitchens: tests/benchmarks/test_next_bake.py."""


class Belief:
    """What a kitchen believes of every way: z, draw by draw, and how much each draw counts."""

    def __init__(self, ways: Ways, learned: Learned) -> None:
        """Work out z of every way by the sheet's draws and by the tally's."""
        self.ways = ways
        sheet = draws_at(learned.belief.scores(SHEET_DRAWS))
        z_sheet, _ = strain_scores(ways.plans, sheet)
        z_tally = tally_scores(ways.plans, learned.tally.scores(TALLY_DRAWS))
        self.z = np.concatenate([z_sheet, z_tally])
        share = learned.tally_share
        self.weights = np.concatenate(
            [
                np.full(SHEET_DRAWS, (1 - share) / SHEET_DRAWS),
                np.full(TALLY_DRAWS, share / TALLY_DRAWS),
            ]
        )
        self.holds = (self.z < logit(COUNTED_BELOW)).astype(float)
        self.likely = np.minimum(self.weights @ self.holds, 1.0)
        self.chances = np.minimum(self.weights @ expit(self.z), 1.0)
        self._sheet = sheet

    def losses(self, leaning: Leaning, allowed: np.ndarray) -> np.ndarray:
        """Return the loss of every way; of one that is not allowed, without end."""
        losses = self.ways.costs + leaning.penalty * (1 - self.likely)
        return np.where(allowed, losses, np.inf)

    def worths_of_trays(
        self, asked: np.ndarray, leaning: Leaning, judged: np.ndarray
    ) -> np.ndarray:
        """Return what a tray of each way of `asked`, with its neighbours, takes off the least loss,
        in all; the choice after it is made among the ways of `judged`."""
        costs, holds = self.ways.costs[judged], self.holds[:, judged]
        now = (costs + leaning.penalty * (1 - self.likely[judged])).min()
        worths = []
        for at, more in zip(asked, self._grows_more(asked), strict=True):
            shown = self._classes(int(at), more) * self.weights
            mass = shown.sum(axis=1, keepdims=True)
            losses = costs * mass + leaning.penalty * (mass - shown @ holds)
            worths.append(float(now - losses.min(axis=1).sum()))
        return np.array(worths)

    def _classes(self, at: int, more: np.ndarray) -> np.ndarray:
        """Return how likely each class of outcome is by each draw: classes by draws."""
        tray = self.ways.tray_of(at)
        whole = [
            self._whole(one, PIECES_AT_THE_WAY if one == at else PIECES_BESIDE) for one in tray
        ]
        cracked, standing = [], np.ones_like(whole[0])
        for each in whole:  # the thinnest first: if that cracks, nothing else need be asked
            cracked.append(standing * (1 - each))
            standing = standing * each
        by_crack = [one @ WEIGHTS for one in (*cracked, standing)]
        return np.stack([one * side for one in by_crack for side in (more, 1 - more)])

    def _whole(self, at: int, pieces: int) -> np.ndarray:
        """Return how likely so many pieces are whole: draws by what their batch may be."""
        shared = LOGISTIC_SD * np.sqrt(BATCH_SHARE) * NODES
        z = (self.z[:, at, None] + shared) / np.sqrt(1 - BATCH_SHARE)
        return np.asarray(expit(-z) ** pieces)

    def _grows_more(self, asked: np.ndarray) -> np.ndarray:
        """Return how likely the round of each way grows more than expected, ways by draws; the
        tally says nothing of that."""
        plans = self.ways.plans
        seen = RoundSeen(
            tray=np.arange(len(asked)),
            substances=type(plans.substances)(*(column[asked] for column in plans.substances)),
            chilled=plans.chilled[asked],
            diameter_mm=np.full(len(asked), ROUND_ACROSS_MM),
            thickness_mm=plans.thickness_mm[asked],
            grew_mm=np.zeros(len(asked)),
        )
        grown = growths_mm(seen, self._sheet).T
        scale = np.sqrt(ROUND_MM**2 + (ROUND_SHARE * grown) ** 2)
        more = ndtr((grown - np.median(grown, axis=1, keepdims=True)) / scale)
        return np.concatenate([more, np.full((len(asked), TALLY_DRAWS), 0.5)], axis=1)


def candidates(belief: Belief, losses: np.ndarray) -> np.ndarray:
    """Return the ways worth asking after: of least loss, and the cheapest that may hold."""
    by_loss = np.argsort(losses, kind="stable")[:SCREENED]
    may_hold = (belief.likely > LEAST_LIKELY) & np.isfinite(losses)
    by_cost = np.argsort(np.where(may_hold, belief.ways.costs, np.inf), kind="stable")[:CHEAPEST]
    found = np.unique(np.concatenate([by_loss, by_cost]))
    return np.asarray(found[np.isfinite(losses[found])])


def judged_after(belief: Belief, losses: np.ndarray) -> np.ndarray:
    """Return the ways among which the choice after a tray is made."""
    by_loss = np.argsort(losses, kind="stable")[: JUDGED_AFTER // 2]
    order = np.lexsort((belief.ways.costs, -belief.likely.round(2)))
    safest = [at for at in order if np.isfinite(losses[at])][: JUDGED_AFTER // 4]
    cheap = np.argsort(np.where(np.isfinite(losses), belief.ways.costs, np.inf), kind="stable")
    return np.unique(np.concatenate([by_loss, safest, cheap[: JUDGED_AFTER // 4]])).astype(int)
