"""An honest no: a smallest set of limits that cannot hold together, and what each would need.

The set is irreducible: it is infeasible, and leaving out any one member makes it feasible. It is
found by leaving out one limit after another for as long as the rest still cannot hold (a deletion
filter), on the program with whole measures, not on its continuous shadow.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from models.exact import float_not_above, float_not_below
from models.limits import ChangeLimit, CrackLimit, Limit, NamedLimit, RatioLimit
from models.outcome import Conflict
from models.ratios import RATIOS
from solver.answers.safest import safest
from solver.answers.wording import limit_words, number
from solver.mechanics.levers import thickness_needed
from solver.search.choices import Choice, Scope
from solver.search.crack import crack_rows
from solver.search.highs import SecondsLeft
from solver.search.least import Answer, DeadlineStruck, any_answer, least_of, solve_exactly
from solver.search.program import build, presence_rows, ratio_excess, ratio_row
from solver.search.row import Row

RATIO_GAP = 1e-6
"""Of a ratio: measured ratios lie so close that proving the last millionth could take minutes."""


@dataclass(frozen=True)
class Standoff:
    """Limits that cannot hold together, and the least relaxation that works."""

    conflicts: tuple[Conflict, ...]
    relaxation: tuple[Conflict, ...]


def find_standoff(scope: Scope, limits: Sequence[Limit], seconds_left: SecondsLeft) -> Standoff:
    """Return why no answer meets `limits`, which must be infeasible together.

    Raises DeadlineStruck.
    """
    try:
        standing = _irreducible(scope, limits, seconds_left)
        needed = {limit.name: least_value(limit, scope, limits, seconds_left) for limit in standing}
        single = _easiest(standing, needed)
        relaxed = [single] if single else _least_joint_relaxation(scope, limits, seconds_left)
    except DeadlineStruck:
        raise DeadlineStruck(None, 0.0) from None
    return Standoff(
        tuple(_conflict(limit, needed[limit.name], scope) for limit in standing),
        tuple(_conflict(limit, value, scope) for limit, value in relaxed),
    )


def _irreducible(scope: Scope, limits: Sequence[Limit], seconds_left: SecondsLeft) -> list[Limit]:
    # Limits on change are left out first, so that a set names ratios where ratios alone collide.
    standing = list(limits)
    for limit in sorted(limits, key=lambda limit: isinstance(limit, RatioLimit)):
        without = [other for other in standing if other is not limit]
        if any_answer(scope, without, seconds_left) is None:
            standing = without
    return standing


def least_value(
    limit: Limit, scope: Scope, limits: Sequence[Limit], seconds_left: SecondsLeft
) -> Fraction | None:
    """Return the least measured value of `limit` that works while all others hold, or None."""
    others = [other for other in limits if other is not limit]
    match limit:
        case RatioLimit():
            return _least_ratio(limit, scope, others, seconds_left)
        case CrackLimit():
            answer = safest(limit, scope, others, seconds_left)
            return answer.weighed.measured(limit) if answer else None
        case ChangeLimit():
            return _least_change(limit, scope, others, seconds_left)


def _least_ratio(
    limit: RatioLimit, scope: Scope, others: Sequence[Limit], seconds_left: SecondsLeft
) -> Fraction | None:
    """Minimise (for a lower limit, maximise) the ratio N / D over the answers within `others`.

    Dinkelbach's method: minimise N − q D at the ratio q found last; where that no longer falls, q
    is the least ratio. It closes in a few rounds because q only ever takes measured values. Where
    the answers are too many to list, it stops within a millionth of the least.
    """
    choices = scope.choices(others)
    program = build(choices, others).with_rows(*presence_rows([limit], choices))
    sign = 1.0 if limit.side == "max" else -1.0
    flour = float(scope.before.flour_grams)
    share = float(RATIOS[limit.ratio].denominator(scope.before.masses)) / flour
    gap = RATIO_GAP * (share or 1.0)
    best: Fraction | None = None
    tried = limit.value
    while True:
        excess = ratio_excess(limit.ratio, float(tried), choices)
        nearer = program.minimising(tuple(sign * e / flour for e in excess))
        answer = least_of(scope, choices, nearer, others, seconds_left, gap=gap * float(tried))
        value = answer.weighed.measured(limit) if answer else None
        if value is None or (best is not None and sign * (value - best) >= 0):
            return best
        best = tried = value


def _least_change(
    limit: ChangeLimit, scope: Scope, others: Sequence[Limit], seconds_left: SecondsLeft
) -> Fraction | None:
    """Return the smallest percentage of change that works: bisected among the measurable ones."""
    free = scope.choices(others)
    changes = sorted({100 * change for k in limit.positions for change in free[k].change})
    works: Fraction | None = None
    low, high = 0, len(changes)
    while low < high:
        middle = (low + high) // 2
        eased = [*others, replace(limit, percent=changes[middle])]
        answer = any_answer(scope, eased, seconds_left)
        if answer is None:
            low = middle + 1
        else:
            works = 100 * answer.largest_change(limit.positions)
            high = bisect_left(changes, works)
    return works


def _easiest(
    standing: Sequence[Limit], needed: dict[str, Fraction | None]
) -> tuple[Limit, Fraction | None] | None:
    """Return the one limit that alone works and gives way by the smallest share."""
    works = [(limit, needed[limit.name]) for limit in standing]
    works = [(limit, value) for limit, value in works if value is not None]
    return min(works, key=lambda pair: _share_given(*pair), default=None)


def _share_given(limit: Limit, value: Fraction | None) -> Fraction:
    assert value is not None
    if isinstance(limit, RatioLimit):
        return abs(value - limit.value) / (limit.value or 1)
    return abs(value - limit.value) / 100


def _least_joint_relaxation(
    scope: Scope, limits: Sequence[Limit], seconds_left: SecondsLeft
) -> list[tuple[Limit, Fraction | None]]:
    """Return the limits that must give way together, by the least sum of shares of themselves."""
    ratio_limits = [limit for limit in limits if isinstance(limit, RatioLimit)]
    choices = scope.choices(())
    program = build(choices, ()).with_rows(
        *(ratio_row(limit, choices, slack=limit.name) for limit in ratio_limits),
        *presence_rows(ratio_limits, choices),
        *(
            _change_row(k, choices, limit.name, float(limit.percent) / 100)
            for limit in limits
            if isinstance(limit, ChangeLimit)
            for k in limit.positions
        ),
        *(
            row
            for limit in limits
            if isinstance(limit, CrackLimit)
            for row in crack_rows(limit, choices, slack=limit.name)
        ),
    )
    answer = solve_exactly(scope, choices, program.costless(), (), seconds_left)
    return [] if answer is None else [pair for limit in limits if (pair := _given(limit, answer))]


def _given(limit: Limit, answer: Answer) -> tuple[Limit, Fraction | None] | None:
    """Return the value that `limit` must take to admit `answer`, or None where it holds already."""
    if not isinstance(limit, ChangeLimit):
        weighed = answer.weighed
        return None if weighed.keeps(limit) else (limit, weighed.measured(limit))
    percent = 100 * answer.largest_change(limit.positions)
    return (limit, percent) if percent > limit.percent else None


def _change_row(k: int, choices: Sequence[Choice], slack: str, at_most: float) -> Row:
    coefficients = tuple(
        np.array([float(x) for x in choice.change]) * (i == k) for i, choice in enumerate(choices)
    )
    return Row("change", coefficients, at_most, slack)


def _conflict(limit: Limit, needed: Fraction | None, scope: Scope) -> Conflict:
    below = isinstance(limit, RatioLimit) and limit.side == "min"
    rounded = None if needed is None else (float_not_above if below else float_not_below)(needed)
    return Conflict(
        **NamedLimit.naming(limit),
        value=float(limit.value),
        relax_to=rounded,
        message=_conflict_words(limit, needed)
        + (_thinner_words(limit, scope) if isinstance(limit, CrackLimit) else ""),
    )


def _conflict_words(limit: Limit, needed: Fraction | None) -> str:
    words = limit_words(limit)
    if needed is None:
        return f"{words} stands in the way, and no value of it alone would do"
    if limit.kind == "keep":
        free = f"{limit.subject} free to change by {number(needed)} %"
        return f"{words} stands in the way; {free} would do"
    return f"{words} stands in the way; {number(needed)} would do, all else as asked"


def _thinner_words(limit: CrackLimit, scope: Scope) -> str:
    """Say how thin the dough as it is would have to be."""
    thickness = thickness_needed(scope.before, limit.target, float(limit.percent))
    if thickness is None:
        return "; no sheet of 1 mm or more would do with the recipe as it is"
    return f"; rolled {thickness:g} mm thin the recipe would do as it is"
