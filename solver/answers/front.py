"""The front: for a dozen chances of a crack the least cost over all doughs and sheets."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from models.exact import exact
from models.ladder import FrontPoint
from models.outcome import RolledSheet
from models.target import Target
from solver.answers.safest import safest
from solver.answers.showing import formula_of, lines_of
from solver.mechanics.chance import crack_percent
from solver.mechanics.special import expit, logit
from solver.search.answer import Answer
from solver.search.problem import Problem

SAFE_PERCENT = 2.0
"""Fewer than 1 in 50 is as much as the belief can say: no point is sought below."""


def front_of(free: Problem, target: Target, points: int) -> Iterator[FrontPoint]:
    """Yield the front from the dough as it is to a safe one, evenly spaced in log odds.

    None where no dough keeps the other limits. The last is the safest dough, or one at
    `SAFE_PERCENT` where the safest is safer still.

    `free` may roll every sheet that a ladder may.
    """
    limit, before, draws = free.crack_limit, free.ready.before, free.ready.draws
    thin = free.at(min(free.sheets, key=lambda s: crack_percent(before, s.target, draws)))
    best = safest(thin.crack_limit, thin.without(thin.crack_limit))
    if best is None:
        return
    highest = crack_percent(before, target, draws)
    lowest = max(_chance_of(best), min(highest, SAFE_PERCENT))
    seen: set[tuple[object, ...]] = set()
    floors, answer = free.floors(), None
    for at_most in _spaced(highest, lowest, points):
        eased = replace(limit, percent=exact(at_most))
        answer = free.easing(limit, eased).below(float(best.cost), answer, floors) or best
        assert answer.sheet is not None, "a ladder rolls sheets"
        if (answer.picks, answer.sheet) in seen:
            continue
        seen.add((answer.picks, answer.sheet))
        yield FrontPoint(
            chance_percent=_chance_of(answer),
            texture_cost=float(answer.cost),
            target=RolledSheet.of(answer.sheet.target),
            lines=lines_of(answer, [None] * len(answer.picks)),
        )


def _chance_of(answer: Answer) -> float:
    assert answer.sheet is not None, "a ladder rolls sheets"
    return crack_percent(formula_of(answer), answer.sheet.target, answer.ready.draws)


def _spaced(highest: float, lowest: float, points: int) -> list[float]:
    top, foot = (min(max(chance, 0.01), 99.9) / 100 for chance in (highest, lowest))
    odds = np.linspace(logit(top), logit(foot), points)
    return [highest, *(float(100 * p) for p in expit(odds)[1:-1]), lowest]
