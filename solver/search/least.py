"""The least answer: solved, confirmed in exact arithmetic, and ties settled the same way each time.

The solver works to tolerances. Here every answer it gives is summed again as fractions; one that
breaks a bound by less than the tolerance, or a crack limit between two of its tangents, is excluded
and the program solved once more.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np

from models.limits import CrackLimit, Limit
from models.measures import Amount
from solver.search.choices import Choice, Scope, move_cost
from solver.search.crack import tangent_at
from solver.search.enumeration import (
    Accept,
    ListTooLong,
    Picks,
    answers_within,
    any_within,
    cheapest,
)
from solver.search.highs import SecondsLeft, solve
from solver.search.judging import Weighed
from solver.search.program import Program, build, cost_row, other_than_row
from solver.search.row import Row

COST_TIE = 1e-9
"""Costs closer than this are equal: it is the solver's tolerance on a cost row."""


@dataclass(frozen=True, eq=False)
class Answer:
    """One option for each line."""

    scope: Scope
    choices: tuple[Choice, ...]
    picks: Picks

    @property
    def amounts(self) -> tuple[Amount, ...]:
        """The amount of each line."""
        return tuple(c.options[p].amount for c, p in zip(self.choices, self.picks, strict=True))

    @property
    def weighed(self) -> Weighed:
        """What is measured of the answer, exactly."""
        return Weighed(self.amounts, self.scope.brief.powder_strength)

    @property
    def cost(self) -> Fraction:
        """The cost of every moved line together, exactly."""
        return sum((self._line_cost(k) for k in range(len(self.choices))), Fraction(0))

    def meets(self, limits: Sequence[Limit]) -> bool:
        """Tell whether every limit holds to the last digit, and there is flour at all."""
        return self.weighed.keeps_all(limits)

    def largest_change(self, positions: Sequence[int]) -> Fraction:
        """Return the largest change among the lines at `positions`, as a share of their amount."""
        changes = (self.choices[k].change[self.picks[k]] for k in positions)
        return max(changes, default=Fraction(0))

    def _line_cost(self, k: int) -> Fraction:
        choice, pick = self.choices[k], self.picks[k]
        weight = self.scope.brief.weight_of(choice.line.role)
        if not pick or weight is None:
            return Fraction(0)
        return move_cost(weight, choice.change[pick], choice.options[pick])


class DeadlineStruck(Exception):
    """The caller's time ran out; carries the best answer so far and a bound on every cost."""

    def __init__(self, best: Answer | None, bound: float) -> None:
        """Keep both."""
        super().__init__("the deadline struck")
        self.best = best
        self.bound = bound


def least(scope: Scope, limits: Sequence[Limit], seconds_left: SecondsLeft) -> Answer | None:
    """Return the least-cost answer within `limits`, or None where there is none.

    Raises DeadlineStruck with the best answer found.
    """
    choices = scope.choices(limits)
    program = build(choices, limits)
    answer, program = _solve_with_cuts(scope, choices, program, limits, seconds_left)
    return None if answer is None else settle_ties(answer, program, limits, seconds_left)


def least_below(
    scope: Scope, limits: Sequence[Limit], at_most: float, seconds_left: SecondsLeft
) -> Answer | None:
    """Return the least-cost answer within `limits` costing `at_most`, or None; ties as they fall.

    Raises DeadlineStruck.
    """
    choices = scope.choices(limits)
    program = build(choices, limits)
    return least_of(scope, choices, program, limits, seconds_left, at_most)


def least_of(
    scope: Scope,
    choices: tuple[Choice, ...],
    program: Program,
    limits: Sequence[Limit],
    seconds_left: SecondsLeft,
    at_most: float = np.inf,
    gap: float = 0.0,
) -> Answer | None:
    """Return the exact answer of `program` with the least objective up to `at_most`, or None.

    Listed where the list is short, else solved to within `gap`. Raises DeadlineStruck.
    """
    try:
        return _listed(cheapest, scope, choices, program, limits, at_most, seconds_left)
    except ListTooLong:
        if np.isfinite(at_most):
            program = program.with_rows(cost_row(program.costs, at_most))
        return solve_exactly(scope, choices, program, limits, seconds_left, gap)


def any_answer(
    scope: Scope, limits: Sequence[Limit], seconds_left: SecondsLeft, at_most: float = np.inf
) -> Answer | None:
    """Return some answer within `limits` costing `at_most`, or None. Raises DeadlineStruck."""
    choices = scope.choices(limits)
    program = build(choices, limits)
    try:
        return _listed(any_within, scope, choices, program, limits, at_most, seconds_left)
    except ListTooLong:
        if np.isfinite(at_most):
            program = program.with_rows(cost_row(program.costs, at_most))
        return solve_exactly(scope, choices, program.costless(), limits, seconds_left)


def _listed(
    search: Callable[[Program, float, Accept], Picks | None],
    scope: Scope,
    choices: tuple[Choice, ...],
    program: Program,
    limits: Sequence[Limit],
    at_most: float,
    seconds_left: SecondsLeft,
) -> Answer | None:
    if seconds_left() <= 0:
        raise DeadlineStruck(None, 0.0)
    if program.is_stepped:
        raise ListTooLong
    picks = search(program, at_most, lambda picks: Answer(scope, choices, picks).meets(limits))
    return None if picks is None else Answer(scope, choices, picks)


def solve_exactly(
    scope: Scope,
    choices: tuple[Choice, ...],
    program: Program,
    limits: Sequence[Limit],
    seconds_left: SecondsLeft,
    gap: float = 0.0,
) -> Answer | None:
    """Return the program's least answer that keeps every limit to the last digit, or None.

    Within `gap` of the least, where that is not 0. Raises DeadlineStruck.
    """
    return _solve_with_cuts(scope, choices, program, limits, seconds_left, gap)[0]


def _solve_with_cuts(
    scope: Scope,
    choices: tuple[Choice, ...],
    program: Program,
    limits: Sequence[Limit],
    seconds_left: SecondsLeft,
    gap: float = 0.0,
) -> tuple[Answer | None, Program]:
    """Return what `solve_exactly` does, and the program with the cuts that it took.

    Without them, what is cheaper than the answer and breaks a limit would still be among its ties.
    """
    while True:
        solution = solve(program, seconds_left, gap)
        if solution.status == "infeasible":
            return None, program
        answer = Answer(scope, choices, solution.picks) if solution.picks else None
        sound = answer is not None and answer.meets(limits)
        if solution.status == "deadline":
            raise DeadlineStruck(answer if sound else None, solution.bound)
        assert answer is not None, "an optimal solution has an answer"
        if sound:
            return answer, program
        program = program.with_rows(*_cuts(answer, limits))


def _cuts(answer: Answer, limits: Sequence[Limit]) -> list[Row]:
    """Return rows that exclude an unsound answer: itself, and its side of a broken crack limit."""
    tangents = [
        tangent_at(limit, answer.choices, answer.weighed.formula)
        for limit in limits
        if isinstance(limit, CrackLimit) and not answer.weighed.keeps(limit)
    ]
    return [other_than_row(answer.picks, answer.choices), *tangents]


def settle_ties(
    answer: Answer, program: Program, limits: Sequence[Limit], seconds_left: SecondsLeft
) -> Answer:
    """Return, of the answers that cost the same, the one with fewest moved lines, then the one
    whose earlier lines move less (of two equal moves, the one to the smaller amount).

    Raises DeadlineStruck with `answer`.
    """
    at_most = float(answer.cost) + COST_TIE
    try:
        if seconds_left() <= 0:
            raise DeadlineStruck(answer, float(answer.cost))
        if program.is_stepped:
            raise ListTooLong
        tied = [replace(answer, picks=picks) for picks in answers_within(program, at_most)]
    except ListTooLong:
        return _first_of_equals(answer, program, limits, seconds_left)
    for other in sorted(tied, key=_preference):  # the first that is sound, and no more, is judged
        if seconds_left() <= 0:
            raise DeadlineStruck(answer, float(answer.cost))
        if other.meets(limits):
            return other
    return answer


def _preference(answer: Answer) -> tuple[Any, ...]:
    moves = tuple(
        (choice.change[pick], choice.options[pick].amount.grams)
        for choice, pick in zip(answer.choices, answer.picks, strict=True)
    )
    return (answer.cost, sum(map(bool, answer.picks)), moves)


def _first_of_equals(
    answer: Answer, program: Program, limits: Sequence[Limit], seconds_left: SecondsLeft
) -> Answer:
    """Settle ties one preference after another, each held while the next is solved."""
    program = program.with_rows(cost_row(program.costs, float(answer.cost) + COST_TIE))
    best = answer
    try:
        for preference in _preferences(answer.choices):
            preferred = program.minimising(preference)
            better = solve_exactly(answer.scope, answer.choices, preferred, limits, seconds_left)
            if better is None:  # the tied answer itself, lost at the edge of the tolerances
                return best
            best = better
            score = sum(p[pick] for p, pick in zip(preference, best.picks, strict=True))
            program = program.with_rows(Row("preferred", preference, float(score)))
    except DeadlineStruck:
        raise DeadlineStruck(best, float(best.cost)) from None
    return best


def _preferences(choices: Sequence[Choice]) -> list[tuple[np.ndarray, ...]]:
    moved = tuple(np.arange(len(c.options)).clip(0, 1).astype(float) for c in choices)
    return [moved, *(_order_of_moves(k, choices) for k, c in enumerate(choices) if len(c.cost) > 1)]


def _order_of_moves(k: int, choices: Sequence[Choice]) -> tuple[np.ndarray, ...]:
    choice = choices[k]
    moves = [(c, m.amount.grams) for c, m in zip(choice.change, choice.options, strict=True)]
    order = tuple(np.zeros(len(other.options)) for other in choices)
    order[k][sorted(range(len(moves)), key=moves.__getitem__)] = np.arange(len(moves))
    return order
