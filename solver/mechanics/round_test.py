"""A flat round of a dough, baked and measured: what it tells of how that dough flows.

Draws of the belief are weighted by how well they foretold the round's growth, and 512 of them are
kept, spread evenly by how likely each makes a crack on a middling cylinder. They stand in for the
untried kitchen's wherever the dough is judged.
"""

from functools import lru_cache

import numpy as np

from models.chance import Spread
from models.errors import BadInput, Fault
from models.form import Cylinder, FlatRound
from models.formula import Formula
from models.learning import Taught
from models.round_test import RoundTest
from models.target import Target
from solver.mechanics.belief import DRAWS, Draws, draws_of, lattice
from solver.mechanics.calibrate import belief_of
from solver.mechanics.chance import excess, growth_draws_mm, law_of, spread_of
from solver.mechanics.dough import Substances, substances_of

CANDIDATES = 8192
LEAST_EFFECTIVE_DRAWS = 50
MEASURED_WITHIN_MM, MEASURED_WITHIN_SHARE = 0.5, 0.2
"""How far a round strays from what its dough would do: this much, and this share of it."""
NEAR_DEVIATIONS = 4.0
"""A draw that misses the round by more never foretold it, however alike all of them miss it."""

_JUDGED_ON = Cylinder(kind="cylinder", diameter_mm=80.0, wrap_degrees=150.0)
_JUDGED_AT_MM = 5.0


class UnlikelyRound(Exception):
    """No round of such a dough grows so; carries what the belief expects."""

    def __init__(self, expected: Spread, diameter_mm: float) -> None:
        """Keep what was expected of a round of that diameter."""
        if expected.value > diameter_mm:
            super().__init__("nothing is known of rounds of such a dough; leave the round out")
            return
        super().__init__(
            f"no round of such a dough grows so: about {expected.value:.2g} mm was to be expected, "
            f"{expected.low:.2g} to {expected.high:.2g} in four kitchens of five. Measure the "
            "same piece before and after, and check its thickness and diameter"
        )


def believed(
    test: RoundTest | None, formula: Formula, taught: Taught | None = None
) -> Draws | None:
    """Return what is believed of a dough in the kitchen that was `taught`; None where no kitchen
    was named and no round measured.

    Raises BadInput for a round that no such dough shows.
    """
    if test is None:
        return belief_of(taught).draws if taught else None
    try:
        return draws_after(test, substances_of(formula), taught)
    except UnlikelyRound as unlikely:
        raise BadInput([Fault(pointer="/round_test/grew_mm", message=str(unlikely))]) from None


@lru_cache(maxsize=64)
def draws_after(test: RoundTest, substances: Substances, taught: Taught | None = None) -> Draws:
    """Return the draws that agree with `test`, a round of the dough of `substances`, baked in the
    kitchen that was `taught`, or in an untried one.

    Raises UnlikelyRound where too few do.
    """
    scores = belief_of(taught).scores(CANDIDATES) if taught else lattice(CANDIDATES)
    drawn = draws_of(scores[: len(Draws._fields)])
    rolled = Target(
        form=FlatRound(kind="flat_round", diameter_mm=test.diameter_mm),
        thickness_mm=test.thickness_mm,
        chilled=test.chilled,
    )
    expected = growth_draws_mm(substances, rolled, drawn)
    deviation = np.sqrt(MEASURED_WITHIN_MM**2 + (MEASURED_WITHIN_SHARE * expected) ** 2)
    off = (test.grew_mm - expected) / deviation
    score = -(off**2) / 2 - np.log(deviation)
    weights = np.exp(score - score.max())
    near = np.count_nonzero(np.abs(off) <= NEAR_DEVIATIONS)
    if min(near, weights.sum() ** 2 / (weights**2).sum()) < LEAST_EFFECTIVE_DRAWS:
        raise UnlikelyRound(spread_of(expected, float(np.median(expected))), test.diameter_mm)
    judged = Target(form=_JUDGED_ON, thickness_mm=_JUDGED_AT_MM, chilled=test.chilled)
    order = np.argsort(excess(law_of(judged, drawn), substances)[:, 0], kind="stable")
    reached = np.cumsum(weights[order]) / weights.sum()
    places = (np.arange(DRAWS) + 0.5) / DRAWS
    kept = order[np.minimum(np.searchsorted(reached, places), CANDIDATES - 1)]
    return Draws(*(coefficient[kept] for coefficient in drawn))
