"""The safest answer: the one that is least likely to crack, whatever it costs."""

from dataclasses import replace

from models.limits import CrackLimit
from solver.answers.explain import MOST_CHANCE
from solver.search.answer import Answer
from solver.search.crack import crack_rows, staying_formula, tangent_at
from solver.search.problem import Problem

STRAIN_GAP = 1e-4
"""A five-hundredth of the scatter between pieces baked alike: far finer than the estimate."""

ROUNDS = 6
RAISED_BY = 100.0
"""Keeps the excess that is minimised above 0, where the solver's slacks begin."""


def safest(limit: CrackLimit, problem: Problem) -> Answer | None:
    """Return the answer to `problem` with the least chance of a crack, or None if there is none.

    `problem` is without the limit on the chance. Dinkelbach's method on (D − εc) m / m: minimise
    the largest of the tangents, less q m, at the chance found last, with the tangent at each answer
    added. Raises DeadlineStruck.
    """
    options, program = problem.options, problem.program.costless()
    best: Answer | None = None
    chance = MOST_CHANCE
    touched = [staying_formula(options, limit)]
    for _ in range(ROUNDS):
        at = replace(limit, percent=chance)
        tangents = [*crack_rows(at, options), *(tangent_at(at, options, f) for f in touched)]
        nearer = program.with_rows(
            *(replace(row, at_most=-RAISED_BY, slack="excess") for row in tangents)
        )
        answer = problem.solve(nearer, gap=STRAIN_GAP)
        found = answer.weighed.measured(limit) if answer else None
        if answer is None or found is None or (best is not None and found >= chance):
            return best
        best, chance = answer, min(found, MOST_CHANCE)
        touched.append(answer.weighed.formula)
    return best
