"""The next bake: which tray teaches most for what it costs, when to stop, and when to give up.

One walk from what a kitchen has learned to one piece of advice. The ways are `solver.kitchen.ways`,
what a bake of one is worth `solver.kitchen.worth`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from models.trial import Trial
from solver.kitchen.ways import Way, Ways
from solver.kitchen.worth import Belief, Leaning, candidates, judged_after
from solver.mechanics.dough import FLOWING, Substances, gas_percent, substances_of
from solver.mechanics.lessons import Learned

Decision = Literal["bake", "publish", "not_with_this_dough"]

GOOD_GRADE = 1
"""The worst grade of a good piece: hairlines that nobody sees."""
HOPELESS = 0.25
"""Where the way of least loss holds with less than this likelihood, and no tray is worth its bake,
baking on is waste. Judgement."""
WORTH_PUBLISHING = 0.5
MOST_BAKES = 8
MOST_OTHERS = 3
SAME_SHARE, SAME_GAS_PERCENT, SAME_SHEET_MM = 0.03, 0.04, 0.01
"""Two doughs are the same within rounding to spoons: this share of the solids, this much gas."""
HEAT_SHARE = 0.7


@dataclass(frozen=True)
class Advice:
    """What to do next: the way to bake or to publish, and what speaks for it."""

    decision: Decision
    way: Way
    tray: tuple[Way, ...]
    likely: float
    chance: float
    worth: float
    leaning: Leaning
    tray_chances: tuple[float, ...]
    others: tuple[tuple[Way, float], ...]


def advise(
    ways: Ways, learned: Learned, leaning: Leaning, allowed: np.ndarray | None = None
) -> Advice:
    """Return what to do next about the recipe of `ways` in a kitchen that has `learned`."""
    belief = Belief(ways, learned)
    permitted = np.ones(len(ways.ways), bool) if allowed is None else allowed
    losses = belief.losses(leaning, permitted)
    best = int(np.argmin(losses))
    judged = judged_after(belief, losses)
    asked = candidates(belief, losses)
    worths = belief.worths_of_trays(asked, leaning, judged)
    chosen = int(np.argmax(worths))
    worth = float(worths[chosen])
    baked = len(learned.trials)
    if baked and worth >= leaning.bake and baked < MOST_BAKES + 1:
        return _advice("bake", belief, losses, int(asked[chosen]), worth, leaning)
    likely = belief.likely[best]
    if likely < HOPELESS or (baked > MOST_BAKES and likely < WORTH_PUBLISHING):
        return _advice("not_with_this_dough", belief, losses, best, worth, leaning)
    if was_good(ways, best, learned.trials) or baked > MOST_BAKES:
        return _advice("publish", belief, losses, best, worth, leaning)
    return _advice("bake", belief, losses, best, worth, leaning)


def was_good(ways: Ways, at: int, trials: Sequence[Trial]) -> bool:
    """Tell whether a way was itself on a tray of which every piece of its sheet was good."""
    way = ways.ways[at]
    for trial in trials:
        same_sheet = trial.form == ways.target.form and trial.chilled == way.chilled
        if not same_sheet or not _is_dough(ways, at, substances_of(trial.formula)):
            continue
        for sheet in trial.sheets:
            if abs(sheet.thickness_mm - way.thickness_mm) < SAME_SHEET_MM:
                return all(piece.crack_grade <= GOOD_GRADE for piece in sheet.pieces)
    return False


def _is_dough(ways: Ways, at: int, baked: Substances) -> bool:
    """Tell whether what was baked is the dough of a way, within rounding to spoons."""
    mine = Substances(*(column[at] for column in ways.substances))
    apart = [
        abs(getattr(mine, name) / mine.solids - getattr(baked, name) / baked.solids)
        for name in FLOWING
    ]
    gas = abs(gas_percent(mine, HEAT_SHARE) - gas_percent(baked, HEAT_SHARE))
    return bool(max(apart) <= SAME_SHARE and gas <= SAME_GAS_PERCENT)


def _advice(
    decision: Decision,
    belief: Belief,
    losses: np.ndarray,
    at: int,
    worth: float,
    leaning: Leaning,
) -> Advice:
    ways = belief.ways
    return Advice(
        decision=decision,
        way=ways.ways[at],
        tray=tuple(ways.ways[one] for one in ways.tray_of(at)),
        likely=float(belief.likely[at]),
        chance=float(belief.chances[at]),
        worth=worth,
        leaning=leaning,
        tray_chances=tuple(float(belief.chances[one]) for one in ways.tray_of(at)),
        others=tuple(_others(belief, losses, at)),
    )


def _others(belief: Belief, losses: np.ndarray, at: int) -> Iterator[tuple[Way, float]]:
    """Yield the ways of least loss whose dough or sheet is another, with how likely they hold."""
    told = {belief.ways.ways[at].dough}
    for other in np.argsort(losses, kind="stable"):
        way = belief.ways.ways[other]
        if len(told) > MOST_OTHERS:
            return
        if way.dough not in told and np.isfinite(losses[other]):
            told.add(way.dough)
            yield way, float(belief.likely[other])
