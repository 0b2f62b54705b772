"""Sizing: a batch of pieces made as large as its changed dough must be, on the sheet as proposed.

How much dough the pieces take hangs on the answer (a thinner sheet takes less, more flour gives
more), and the answer on the batch (other amounts can be measured): so the batch is set to what the
last answer needs until that is what it has.
"""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from models.batch import egg_step, factor_from
from models.formula import Formula
from models.pieces import BatchOfPieces, pieces_of
from models.target import Target
from solver.search.answer import Answer
from solver.search.options import ReadyBrief
from solver.search.problem import Problem

MOST_TRIES = 12
"""A batch settles in two or three; where measures make it swing, the least enough counts."""

NEAR_ENOUGH = Fraction(97, 100)
"""A batch that is so little too large is not made anew: less than trimmings ever come to."""

SHORT_TRIES = 3


def sized_for_pieces(problem: Problem, answer: Answer) -> tuple[Problem, Answer]:
    """Return the problem at the size that its changed dough needs, and the least answer there.

    As they are where no pieces were asked for. Raises DeadlineStruck.
    """
    batch = problem.ready.brief.batch
    if batch is None or batch.pieces is None:
        return problem, answer
    tried = list(_sizes(problem, answer))
    enough = [(p, a) for p, a in tried if share_needed(a) <= 1]
    if enough:
        return min(enough, key=lambda one: one[0].ready.factor)
    return min(tried, key=lambda one: share_needed(one[1]))


def pieces_from(answer: Answer) -> BatchOfPieces | None:
    """Return what the pieces of an answer take and what its dough gives; None without pieces."""
    batch = answer.ready.brief.batch
    if batch is None or batch.pieces is None:
        return None
    return pieces_of(batch, rolled(answer), float(dough_grams(answer)))


def share_needed(answer: Answer) -> Fraction:
    """Return what the pieces of an answer take, as a share of its dough; 0 without pieces."""
    batch = answer.ready.brief.batch
    if batch is None or batch.pieces is None:
        return Fraction(0)
    return batch.needed_grams(rolled(answer)) / dough_grams(answer)


def resized(problem: Problem, share: Fraction) -> Problem:
    """Return the problem with its batch about so many times as large, up to whole eggs."""
    return _at(problem, factor_from(problem.ready.factor * share, problem.ready.brief.formula))


def rolled(answer: Answer) -> Target:
    """Return the sheet that the pieces of an answer are cut from."""
    assert answer.sheet is not None, "pieces are cut for a form"
    return answer.sheet.target


def dough_grams(answer: Answer) -> Fraction:
    """Return the whole dough of an answer."""
    return sum((amount.grams for amount in answer.amounts), Fraction(0))


def _sizes(problem: Problem, answer: Answer) -> Iterator[tuple[Problem, Answer]]:
    formula = problem.ready.brief.formula
    seen: set[Fraction] = set()
    enough = False
    found: Answer | None = answer
    while len(seen) < MOST_TRIES:
        factor = problem.ready.factor
        seen.add(factor)
        wanted = _next(factor, formula)
        if found is not None:
            yield problem, found
            share = share_needed(found)
            enough |= share <= 1
            if NEAR_ENOUGH <= share <= 1:
                return
            if share < 1 or len(seen) < SHORT_TRIES:  # one that stays short is raised boldly
                wanted = factor_from(factor * share, formula)
        if wanted in seen:
            if enough:
                return
            wanted = _next(max(seen), formula)
        problem = _at(problem, wanted)
        found = problem.least()


def _at(problem: Problem, factor: Fraction) -> Problem:
    return replace(problem, ready=ReadyBrief(problem.ready.brief.sized(factor)))


def _next(factor: Fraction, formula: Formula) -> Fraction:
    """Return the next size, where nothing measurable of one keeps every limit."""
    return factor_from(factor + (egg_step(formula) or factor / 20), formula)
