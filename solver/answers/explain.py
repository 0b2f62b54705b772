"""Why: which limits the least cost hangs on, and what undoing each moved line would break."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from models.limits import ChangeLimit, CrackLimit, Limit, NamedLimit, RatioLimit
from models.outcome import BindingLimit
from models.wording import limit_words, measured_words, number
from solver.search.answer import Answer, DeadlineStruck
from solver.search.glimpses import gained_by_one_move
from solver.search.judging import WeighedDough
from solver.search.problem import Problem

CHEAPER_BY = 1e-7
"""A saving that shows: well above what costs tie to, well below what a spoon costs."""

EASED_SHARE = Fraction(1, 100)
EASED_POINTS = Fraction(5)
"""A small slack: a hundredth of a ratio's bound, or five points of a change or a chance."""

FARTHEST = Fraction(10**9)
"""A slack, as a share of its bound, beyond which none is nearer than another."""

MOST_CHANCE = Fraction(999, 10)
"""The highest limit on a chance that may be asked for."""


def binding_limits(problem: Problem, answer: Answer) -> tuple[BindingLimit, ...]:
    """Return the limits whose removal would lower the least cost, and what a small slack saves.

    Raises DeadlineStruck with `answer`.
    """
    if not any(answer.picks):
        return ()
    by_slack = sorted(problem.limits, key=lambda limit: _slack(limit, answer))
    try:
        found = set(_that_bind(by_slack, problem, answer))
        return tuple(_describe(each, problem, answer) for each in problem.limits if each in found)
    except DeadlineStruck:
        raise DeadlineStruck(answer, float(answer.cost)) from None


def reasons(answer: Answer, limits: Sequence[Limit]) -> list[str | None]:
    """Return for each line why it moved, or None where it did not."""
    return [_reason(k, answer, limits) if pick else None for k, pick in enumerate(answer.picks)]


def _that_bind(suspects: Sequence[Limit], problem: Problem, answer: Answer) -> Iterator[Limit]:
    """Yield the suspects that bind.

    Most show it by one move away from the answer. Where leaving out a whole group of the others
    saves nothing, no member of it binds.
    """
    below = float(answer.cost) - CHEAPER_BY
    shown = gained_by_one_move(problem, answer, below)
    yield from (limit for limit in suspects if limit in shown)
    groups = [[limit for limit in suspects if limit not in shown]]
    while groups:
        group = groups.pop()
        cheaper = problem.without(*group).any(below, near=answer) if group else None
        if cheaper is None:
            continue
        broken = [limit for limit in group if not _keeps(cheaper, limit)]
        if len(broken) == 1:
            yield broken[0]
        elif broken:
            half = (len(broken) + 1) // 2
            groups += [broken[half:], broken[:half]]
        else:  # cheaper by no more than the search can tell
            continue
        groups.append([limit for limit in group if limit not in broken])


def _keeps(answer: Answer, limit: Limit) -> bool:
    if isinstance(limit, ChangeLimit):
        return 100 * answer.largest_change(limit.positions) <= limit.percent
    return answer.weighed.keeps(_on_its_sheet(limit, answer))


def _on_its_sheet(limit: RatioLimit | CrackLimit, answer: Answer) -> RatioLimit | CrackLimit:
    if isinstance(limit, CrackLimit) and answer.sheet:
        return replace(limit, target=answer.sheet.target)
    return limit


def _slack(limit: Limit, answer: Answer) -> float:
    """Return how far the answer is from the limit, as a share of it; the tightest first."""
    if isinstance(limit, ChangeLimit):
        return float(limit.percent / 100 - answer.largest_change(limit.positions))
    value = answer.weighed.measured(limit) or Fraction(0)
    share = abs(value - limit.value) / (limit.value or 1)
    return float(min(share, FARTHEST))  # of a bound of next to nothing it is beyond any float


def _describe(limit: Limit, problem: Problem, answer: Answer) -> BindingLimit:
    eased = ease(limit)
    easier = problem.easing(limit, eased).below(float(answer.cost), near=answer)
    saves = answer.cost - easier.cost if easier else Fraction(0)
    value = eased.value
    words = f"The least cost hangs on {limit_words(limit)}"
    if saves <= 0:
        return BindingLimit(
            **NamedLimit.naming(limit),
            message=f"{words}; a small slack would not help, a larger one would.",
            eased_to=None,
            saves=None,
        )
    return BindingLimit(
        **NamedLimit.naming(limit),
        message=f"{words}; {number(value)} instead would save {float(saves):.3f} of "
        f"{float(answer.cost):.3f}.",
        eased_to=float(value),
        saves=float(saves),
    )


def ease(limit: Limit) -> Limit:
    """Return `limit` with a small slack."""
    if isinstance(limit, ChangeLimit):
        return replace(limit, percent=min(Fraction(100), limit.percent + EASED_POINTS))
    if isinstance(limit, CrackLimit):
        return replace(limit, percent=min(MOST_CHANCE, limit.percent + EASED_POINTS))
    slack = EASED_SHARE * (limit.value or 1)
    return replace(limit, value=limit.value + (slack if limit.side == "max" else -slack))


def _reason(k: int, answer: Answer, limits: Sequence[Limit]) -> str:
    """Say what undoing the move of line `k` alone would break.

    It always breaks something: an undone move that broke nothing would have been a cheaper answer.
    """
    stay = answer.options[k].stay.amount
    undone = tuple(stay if i == k else amount for i, amount in enumerate(answer.amounts))
    weighed = WeighedDough(undone, answer.ready.brief.powder_strength)
    broken = [
        limit for limit in limits if not isinstance(limit, ChangeLimit) and not weighed.keeps(limit)
    ]
    moved_to = answer.amounts[k].grams
    verb = "Added" if not stay.grams else "Raised" if moved_to > stay.grams else "Lowered"
    left = "left out" if not stay.grams else f"left at {stay.measure}"
    parts = [
        f"{limit_words(limit)} ({left} it would be "
        f"{measured_words(limit, weighed.measured(limit))})"
        for limit in broken
    ]
    return f"{verb} for {' and '.join(parts)}." if parts else f"{verb} so that the dough has flour."
