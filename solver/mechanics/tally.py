"""The plain tally: a straight-line guess at cracks that knows none of the oven's mechanics.

    z = a + b1 thickness + b2 gas + b3 (fat + sugars + water) + b4 bend − b5 chilled − b6 firm fat

Only the signs are believed, and little of the sizes. It is kept beside the model of the sheet, and
each is scored on every tray before it learns from it: in a kitchen where cracks follow something
else, the tally is what remains. Its grades are those of `solver.mechanics.evidence`.
"""

import numpy as np

from solver.mechanics.calibrate import Normal, laplace, settled, untaught
from solver.mechanics.dough import gas_percent
from solver.mechanics.evidence import FARTHEST_SCORE, doubted_grades_ln
from solver.mechanics.trays import Evidence

_LEVEL = (-0.5, 2.0)
_SLOPES = (
    # what a step adds to z, and the spread of its logarithm: judgement, meant to be wide
    (1.2, 0.7),  # a millimetre of thickness
    (0.5, 0.7),  # 0.1 % of gas
    (0.5, 0.7),  # 10 points of fat, sugars and water to the solids
    (0.4, 0.7),  # 0.01 of bending strain
    (-0.4, 0.7),  # chilled
    (-0.3, 0.7),  # all of the fat firm
)
TALLIED = 1 + len(_SLOPES)
GAP = 0.9
"""From one grade to the next, as the model of the sheet has it in the middle."""
_HEAT_SHARE = 0.7


def tallied(seen: Evidence) -> Normal:
    """Return what the tally believes after these trays."""
    if not seen.tray.size:
        return untaught(TALLIED)

    def objective(scores: np.ndarray) -> np.ndarray:
        told: np.ndarray = tally_ln(seen, scores).sum(axis=1)
        return np.asarray((scores**2).sum(axis=0) / 2 - told)

    return settled(objective, untaught(TALLIED), lambda: laplace(objective, TALLIED))


def tally_ln(seen: Evidence, scores: np.ndarray) -> np.ndarray:
    """Return the logarithm of how likely each tray's grades are by the tally, cases by trays."""
    z = tally_scores(seen, scores)
    return doubted_grades_ln(seen, z, np.full((z.shape[0], 1), GAP))


def tally_scores(seen: Evidence, scores: np.ndarray) -> np.ndarray:
    """Return z of every row, cases by rows."""
    level, spread = _LEVEL
    scores = np.clip(scores, -FARTHEST_SCORE, FARTHEST_SCORE)
    slopes = np.array([b * np.exp(s * x) for (b, s), x in zip(_SLOPES, scores[1:], strict=True)])
    return np.asarray((level + spread * scores[0])[:, None] + slopes.T @ _features(seen))


def _features(seen: Evidence) -> np.ndarray:
    made_of = seen.substances
    soft = 100 * (made_of.fat + made_of.sugars + made_of.water) / made_of.solids
    firm = made_of.firm_fat / np.maximum(made_of.fat, 1e-9)
    return np.stack(
        [
            seen.thickness_mm - 3.5,
            (gas_percent(made_of, _HEAT_SHARE) - 0.3) / 0.1,
            (soft - 115) / 10,
            (seen.bend - 0.05) / 0.01,
            seen.chilled,
            firm,
        ]
    )
