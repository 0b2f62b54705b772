"""An honest no: a smallest set of limits that cannot hold together, and what each would need.

The set is irreducible: it is infeasible, and leaving out any one member makes it feasible. It is
found by leaving out one limit after another for as long as the rest still cannot hold (a deletion
filter), on the program with whole measures, not on its continuous shadow.
"""

from bisect import bisect_left
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import assert_never

import numpy as np

from models.exact import estimate_not_below, exact, float_not_above, float_not_below
from models.formula import Formula
from models.limits import ChangeLimit, CrackLimit, Limit, NamedLimit, RatioLimit
from models.outcome import Conflict
from models.ratios import RATIOS
from models.window import MOST_CHANCE_PERCENT
from models.wording import limit_words, number
from solver.answers.safest import safest
from solver.mechanics.levers import thickness_needed
from solver.search.answer import Answer, DeadlineStruck
from solver.search.glimpses import loose_when_broken, relaxed_minimum
from solver.search.options import LineOptions
from solver.search.problem import Problem
from solver.search.program import presence_rows, ratio_excess, ratio_row
from solver.search.row import Row

RATIO_GAP = 1e-6
"""Of a ratio: measured ratios lie so close that proving the last millionth could take minutes."""


CHANGE_TIE = 1e-7
"""Of a change, as a share: a relaxation is solved to about that."""


@dataclass(frozen=True)
class Infeasibility:
    """An irreducible infeasible set of limits, and the least relaxation that works."""

    conflicts: tuple[Conflict, ...]
    relaxation: tuple[Conflict, ...]


def explain_infeasibility(problem: Problem) -> Infeasibility:
    """Return why no answer meets the limits of `problem`, which must be infeasible together.

    Where the time ends, what is known by then: that nothing meets the limits is proved already.
    """
    standing, needed = _irreducible_set(problem), dict[str, Fraction | None]()
    with suppress(DeadlineStruck):
        for limit in sorted(standing, key=lambda each: isinstance(each, RatioLimit)):  # slow ones
            needed[limit.name] = least_value(limit, problem)
    single = _easiest(standing, needed)
    relaxed = [single] if single else []
    if not single:
        with suppress(DeadlineStruck):
            relaxed = _least_joint_relaxation(problem)
    before = problem.ready.before
    return Infeasibility(
        tuple(
            _conflict(limit, needed.get(limit.name), before, found=limit.name in needed)
            for limit in standing
        ),
        tuple(_conflict(limit, value, before) for limit, value in relaxed),
    )


def _irreducible_set(problem: Problem) -> tuple[Limit, ...]:
    # Limits on change are left out first, so that a set names ratios where ratios alone collide.
    suspects = sorted(problem.limits, key=lambda limit: isinstance(limit, RatioLimit))
    changes = [limit for limit in suspects if not isinstance(limit, RatioLimit)]
    loose = [limit for limit in loose_when_broken(problem) if limit not in changes]
    for group in (changes, loose):  # mostly all of them can go at once
        if len(group) > 1 and not _may_have_answer(problem.without(*group)):
            problem = problem.without(*group)
            suspects = [limit for limit in suspects if limit not in group]
    for limit in suspects:
        fewer = problem.without(limit)
        if not _may_have_answer(fewer):
            problem = fewer
    return problem.limits


def _may_have_answer(problem: Problem) -> bool:
    """Tell whether there is an answer, or it takes too long to know."""
    try:
        return problem.any() is not None
    except DeadlineStruck:
        return True


def least_value(limit: Limit, problem: Problem) -> Fraction | None:
    """Return the least measured value of `limit` that works while all others hold, or None."""
    others = problem.without(limit)
    match limit:
        case RatioLimit():
            return _least_ratio(limit, others)
        case CrackLimit():
            answer = safest(limit, others)
            return answer.weighed.measured(limit) if answer else None
        case ChangeLimit():
            return _least_change(limit, others)
        case _:
            assert_never(limit)


def _least_ratio(limit: RatioLimit, others: Problem) -> Fraction | None:
    """Minimise (for a lower limit, maximise) the ratio N / D over the answers within `others`.

    Dinkelbach's method: minimise N − q D at the ratio q found last; where that no longer falls, q
    is the least ratio. It closes in a few rounds because q only ever takes measured values. Where
    the answers are too many to list, it stops within a millionth of the least.
    """
    options, before = others.options, others.ready.before
    program = others.program.with_rows(*presence_rows([limit], options))
    sign = 1.0 if limit.side == "max" else -1.0
    flour = float(before.flour_grams)
    share = float(RATIOS[limit.ratio].denominator(before.masses)) / flour
    gap = RATIO_GAP * (share or 1.0)
    best: Fraction | None = None
    tried = limit.value
    while tried or limit.side == "min":  # no ratio lies below none
        excess = ratio_excess(limit.ratio, float(tried), options)
        nearer = program.minimising(tuple(sign * e / flour for e in excess))
        closest = gap * float(tried or limit.value)
        at_most = np.inf if best is None else -closest  # else nothing lies nearer
        answer = others.minimum_of(nearer, at_most, closest)
        value = answer.weighed.measured(limit) if answer else None
        if value is None or (best is not None and sign * (value - best) >= 0):
            return best
        best = tried = value
    return best


def _least_change(limit: ChangeLimit, others: Problem) -> Fraction | None:
    """Return the smallest percentage of change that works, of those that can be measured.

    Tried from what the relaxation needs at least, in growing steps, then bisected.
    """
    lines = [(k, others.options[k]) for k in limit.positions]
    places = {float(c): (k, pick) for k, line in lines for pick, c in enumerate(line.change)}
    changes = sorted(places)

    def works(at: int) -> Fraction | None:
        k, pick = places[changes[at]]
        percent = 100 * others.options[k].change_of(pick)
        answer = _any_in_time(others.under((*others.limits, replace(limit, percent=percent))))
        return 100 * answer.largest_change(limit.positions) if answer else None

    low, step = bisect_left(changes, _least_relaxed_change(limit, others) - CHANGE_TIE), 1
    found, high = None, len(changes)
    while low < high:
        at = min(low + step, high) - 1 if found is None else (low + high) // 2
        percent = works(at)
        if percent is None:
            low, step = at + 1, 2 * step
        else:
            found, high = percent, min(at, bisect_left(changes, float(percent / 100)))
    return found


def _least_relaxed_change(limit: ChangeLimit, others: Problem) -> float:
    """Return what the largest change cannot fall below, were amounts continuous."""
    moved = [each.change * (k in limit.positions) for k, each in enumerate(others.options)]
    least = relaxed_minimum(others, tuple(moved))
    return min(least / len(limit.positions), len(moved))


def _any_in_time(problem: Problem) -> Answer | None:
    """Return an answer; none where there is none, or it takes too long to know but time is left."""
    try:
        return problem.any()
    except DeadlineStruck:
        if problem.seconds_left() <= 0:
            raise
        return None


def _easiest(
    standing: Sequence[Limit], needed: dict[str, Fraction | None]
) -> tuple[Limit, Fraction | None] | None:
    """Return the one limit that alone works and gives way by the smallest share."""
    works = [(limit, needed.get(limit.name)) for limit in standing]
    works = [(limit, value) for limit, value in works if value is not None]
    return min(works, key=lambda pair: _share_given(*pair), default=None)


def _share_given(limit: Limit, value: Fraction | None) -> Fraction:
    assert value is not None
    if isinstance(limit, RatioLimit):
        return abs(value - limit.value) / (limit.value or 1)
    return abs(value - limit.value) / 100


def _least_joint_relaxation(problem: Problem) -> list[tuple[Limit, Fraction | None]]:
    """Return the limits that must give way together, by the least sum of shares of themselves."""
    limits, free = problem.limits, problem.under(())
    options = free.options
    ratio_limits = [limit for limit in limits if isinstance(limit, RatioLimit)]
    program = free.program.with_rows(
        *(ratio_row(limit, options, slack=limit.name) for limit in ratio_limits),
        *presence_rows(ratio_limits, options),
        *(
            _change_row(k, options, limit.name, float(limit.percent) / 100)
            for limit in limits
            if isinstance(limit, ChangeLimit)
            for k in limit.positions
        ),
    )
    answer = free.solve(program.costless())
    if answer is None:
        return []
    return [pair for limit in limits if (pair := _value_admitting(limit, answer))]


def _value_admitting(limit: Limit, answer: Answer) -> tuple[Limit, Fraction | None] | None:
    """Return the value that `limit` must take to admit `answer`, or None where it holds already."""
    if not isinstance(limit, ChangeLimit):
        weighed = answer.weighed
        return None if weighed.keeps(limit) else (limit, weighed.measured(limit))
    percent = 100 * answer.largest_change(limit.positions)
    return (limit, percent) if percent > limit.percent else None


def _change_row(k: int, options: Sequence[LineOptions], slack: str, at_most: float) -> Row:
    coefficients = tuple(each.change * (i == k) for i, each in enumerate(options))
    return Row("change", coefficients, at_most, slack)


def _conflict(
    limit: Limit, needed: Fraction | None, before: Formula, *, found: bool = True
) -> Conflict:
    below = isinstance(limit, RatioLimit) and limit.side == "min"
    if needed and isinstance(limit, CrackLimit):
        most = exact(MOST_CHANCE_PERCENT)
        needed = min(estimate_not_below(needed), most) if needed <= most else None
    rounded = None if needed is None else (float_not_above if below else float_not_below)(needed)
    return Conflict(
        **NamedLimit.naming(limit),
        value=float(limit.value),
        relax_to=rounded,
        message=_conflict_words(limit, needed, found=found)
        + (_thinner_words(limit, before) if isinstance(limit, CrackLimit) else ""),
    )


def _conflict_words(limit: Limit, needed: Fraction | None, *, found: bool) -> str:
    words = limit_words(limit)
    if not found:
        return f"{words} stands in the way; what it would need was not found in time"
    if needed is None:
        return f"{words} stands in the way, and no value of it alone would do"
    if limit.kind == "keep":
        free = f"{limit.subject} free to change by {number(needed)} %"
        return f"{words} stands in the way; {free} would do"
    return f"{words} stands in the way; {number(needed)} would do, all else as asked"


def _thinner_words(limit: CrackLimit, before: Formula) -> str:
    """Say how thin the dough as it is would have to be."""
    thickness = thickness_needed(before, limit.target, float(limit.percent))
    if thickness is None:
        return "; no sheet of 1.5 mm or more would do with the recipe as it is"
    return f"; rolled {thickness:g} mm thin the recipe would do as it is"
