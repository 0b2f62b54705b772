"""A safe answer: as little chance of a crack as one-line moves lead to, whatever they cost."""

import numpy as np

from models.limits import CrackLimit
from solver.mechanics.chance import chance_percents, law_by
from solver.mechanics.dough import Substances
from solver.search.answer import Answer, Picks
from solver.search.crack import substances_by_option
from solver.search.problem import Problem

ROW_TOLERANCE = 1e-9
LEAST_GAIN = 0.05
"""Points of chance: less is far finer than the estimate."""


def safest(limit: CrackLimit, problem: Problem) -> Answer | None:
    """Return an answer to `problem` from which no one-line move lowers the chance any further.

    `problem` is without the limit on the chance. None where it has no answer at all.
    """
    start = problem.any()
    if start is None:
        return None
    descent = _Descent(limit, problem)
    best = start
    picks, chance = descent.step(start.picks)
    while chance < descent.chance_of(best.picks) - LEAST_GAIN:
        if not problem.answer(picks).meets(problem.limits):
            return best
        best = problem.answer(picks)
        picks, chance = descent.step(best.picks)
    return best


class _Descent:
    """What every option of every line brings, and the chances of doughs one move apart."""

    def __init__(self, limit: CrackLimit, problem: Problem) -> None:
        self._substances = substances_by_option(problem.options)
        self._law = law_by(limit.target, problem.ready.draws)
        self._rows = problem.program.rows

    def chance_of(self, picks: Picks) -> float:
        made = np.sum([m[:, p] for m, p in zip(self._substances, picks, strict=True)], axis=0)
        return float(chance_percents(self._law, Substances(*made))[0])

    def step(self, picks: Picks) -> tuple[Picks, float]:
        """Return the move of one line that leaves the least chance and keeps every row."""
        whole = np.sum([m[:, p] for m, p in zip(self._substances, picks, strict=True)], axis=0)
        best, least = picks, np.inf
        for k, brought in enumerate(self._substances):
            moved = whole[:, None] - brought[:, [picks[k]]] + brought
            allowed = np.flatnonzero(self._keeps(picks, k) & (moved[0] > 0))
            if not len(allowed):
                continue
            chances = chance_percents(self._law, Substances(*moved[:, allowed]))
            at = int(np.argmin(chances))
            if chances[at] < least:
                best = (*picks[:k], int(allowed[at]), *picks[k + 1 :])
                least = float(chances[at])
        return best, least

    def _keeps(self, picks: Picks, k: int) -> np.ndarray:
        """Tell which options of line `k` keep every row, the other lines as picked."""
        keeps = np.ones(self._substances[k].shape[1], dtype=bool)
        for row in self._rows:
            others = sum(float(c[p]) for c, p in zip(row.coefficients, picks, strict=True))
            others -= float(row.coefficients[k][picks[k]])
            keeps &= others + row.coefficients[k] <= row.at_most + ROW_TOLERANCE
        return keeps
