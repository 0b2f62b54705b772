"""Bounded enumeration: the least answer of a program, found by listing instead of branching.

The continuous relaxation's multipliers λ ≥ 0 turn each option's cost into a reduced cost
    r_kj = c_kj + Σ_i λ_i a_ikj − min_j (c_kj + Σ_i λ_i a_ikj) ≥ 0
and put a floor under every cost: an answer costing at most U has Σ_k r_k,pick(k) ≤ U − floor.
Listing all combinations within that budget, dropping each as soon as some row cannot hold any
more, is a proof by exhaustion: λ and the list. Where a list would grow long, the program is split
on whether one line stays or moves: moving costs a fixed amount, and that is what makes the
relaxation's floor low. This takes a fraction of a branch-and-bound run over single options and
answers the many small questions about a proposal ("would it be cheaper without this limit?").
What is still too long to list is said, and the caller asks `solver.search.highs` instead.
"""

import heapq
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count

import numpy as np

from solver.search.answer import Picks
from solver.search.highs import relax
from solver.search.program import Program
from solver.search.row import Row

FIRST_BUDGET = 1e-4
WIDENING = 4
SHORT_LIST = 80_000
LONGEST_LIST = 1_500_000
MOST_REFUSED = 100
"""Answers that pass the rows and fail the exact judgement; more need rows that fit better."""
ROW_TOLERANCE = 1e-7
"""Rows are scaled by their own limit; what passes by less than this is judged exactly elsewhere."""
COST_ROUNDING = 1e-12
"""Sums of the same costs in another order differ by this much."""


class ListTooLong(Exception):
    """More combinations lie within the budget than are worth listing."""


Accept = Callable[[Picks], bool]
"""Judges an answer exactly, where the listing only sums floats."""


def cheapest(program: Program, at_most: float, accept: Accept) -> Picks | None:
    """Return the least-cost answer of `program` that `accept` takes, None if all cost more.

    Raises ListTooLong.
    """
    answers = deque(_ever_cheaper(program, at_most, accept), maxlen=1)
    return answers.pop() if answers else None


def any_within(program: Program, at_most: float, accept: Accept) -> Picks | None:
    """Return some answer of `program` costing `at_most` that `accept` takes, or None.

    Raises ListTooLong.
    """
    return next(_ever_cheaper(program, at_most, accept), None)


def _ever_cheaper(program: Program, at_most: float, accept: Accept) -> Iterator[Picks]:
    """Yield accepted answers, each cheaper than the one before, the last one the cheapest.

    Parts of the program wait in order of their floors; a part is listed, or split in two.
    """
    order = count()  # of equal floors the part made first comes first
    waiting: list[tuple[float, int, _Part]] = []

    def wait(part: "_Part | None") -> None:
        if part is not None and part.floor <= at_most:
            heapq.heappush(waiting, (part.floor, next(order), part))

    wait(_Part.whole(program))
    while waiting and waiting[0][0] <= at_most:
        part = heapq.heappop(waiting)[-1]
        try:
            found = part.first(at_most, accept, SHORT_LIST)
        except ListTooLong:
            halves = part.split()
            if halves:
                for half in halves:
                    wait(half)
                continue
            found = part.first(at_most, accept, LONGEST_LIST)
        if found is not None:
            at_most = _cost(program, found) - COST_ROUNDING
            yield found


def answers_within(program: Program, at_most: float) -> list[Picks]:
    """Return every answer of `program` costing at most `at_most`, cheapest first.

    Raises ListTooLong.
    """
    whole = _Part.whole(program)
    parts = [whole] if whole else []
    answers: list[Picks] = []
    while parts:
        part = parts.pop()
        try:
            answers += part.answers(at_most - part.floor, at_most, SHORT_LIST)
        except ListTooLong:
            halves = part.split()
            if not halves:
                answers += part.answers(at_most - part.floor, at_most, LONGEST_LIST)
            parts += [half for half in halves if half and half.floor <= at_most]
    return sorted(answers, key=lambda picks: (_cost(program, picks), picks))


def _cost(program: Program, picks: Picks) -> float:
    return float(sum(costs[p] for costs, p in zip(program.costs, picks, strict=True)))


@dataclass(frozen=True, eq=False)
class _Part:
    """A program with some lines held to staying, others to moving, and its relaxation's prices."""

    program: Program
    kept: tuple[np.ndarray, ...]  # the options left to each line
    reduced: tuple[np.ndarray, ...]
    floor: float
    staying: np.ndarray  # how much of each line the relaxation would leave as it is
    dearest: float  # no combination's reduced cost is above this

    @classmethod
    def whole(cls, program: Program) -> "_Part | None":
        """Return the program itself, every line free; None where even its relaxation fails."""
        return cls.of(program, tuple(np.arange(len(costs)) for costs in program.costs))

    @classmethod
    def of(cls, program: Program, kept: tuple[np.ndarray, ...]) -> "_Part | None":
        """Price the rows; None where even the relaxation is infeasible."""
        within = _restricted(program, kept)
        relaxed = relax(within)
        if relaxed is None:
            return None
        reduced, floor = [], 0.0
        for k, costs in enumerate(within.costs):
            rows = zip(relaxed.multipliers, within.rows, strict=True)
            priced = costs + sum(price * row.coefficients[k] for price, row in rows)
            reduced.append(priced - priced.min())
            floor += float(priced.min())
        floor -= float(relaxed.multipliers @ np.array([row.at_most for row in program.rows]))
        dearest = float(sum(r.max() for r in reduced))
        return cls(within, kept, tuple(reduced), floor, relaxed.first_options, dearest)

    def split(self) -> list["_Part | None"]:
        """Return the parts in which one line stays and in which it moves; none where all is set.

        The line is the one of which the relaxation is least sure.
        """
        open_lines = [k for k, kept in enumerate(self.kept) if kept[0] == 0 and len(kept) > 1]
        if not open_lines:
            return []
        line = min(open_lines, key=lambda k: abs(self.staying[k] - 0.5))
        return [self._with(line, slice(0, 1)), self._with(line, slice(1, None))]

    def _with(self, line: int, options: slice) -> "_Part | None":
        everything = tuple(np.arange(len(costs)) for costs in self.program.costs)
        chosen = (*everything[:line], everything[line][options], *everything[line + 1 :])
        part = _Part.of(self.program, chosen)
        if part is None:
            return None
        kept = tuple(mine[c] for mine, c in zip(self.kept, chosen, strict=True))
        return _Part(part.program, kept, part.reduced, part.floor, part.staying, part.dearest)

    def first(self, at_most: float, accept: Callable[[Picks], bool], longest: int) -> Picks | None:
        """Return the least-cost answer accepted, or None; raise ListTooLong."""
        widest = min(at_most - self.floor, self.dearest)
        budget = min(FIRST_BUDGET, widest)
        refused = 0
        while True:
            for picks in self.answers(budget, at_most, longest):
                if accept(picks):
                    return picks
                refused += 1
                if refused > MOST_REFUSED:
                    raise ListTooLong
            if budget >= widest:
                return None
            budget = min(WIDENING * budget, widest)

    def answers(self, budget: float, at_most: float, longest: int) -> Iterator[Picks]:
        """Yield the answers with Σ r ≤ budget and cost ≤ at_most, cheapest first.

        Complete up to a cost of floor + budget, so nothing dearer is yielded.
        """
        if budget < 0:
            return
        picks = self._combinations(budget, longest)
        costs = sum(line[picks[:, k]] for k, line in enumerate(self.program.costs))
        highest = at_most if budget >= self.dearest else min(at_most, self.floor + budget)
        affordable = np.flatnonzero(costs <= highest + COST_ROUNDING)
        for row in picks[affordable[np.argsort(costs[affordable], kind="stable")]]:
            yield tuple(int(kept[pick]) for kept, pick in zip(self.kept, row, strict=True))

    def _combinations(self, budget: float, longest: int) -> np.ndarray:
        """Return picks, one row a combination, with Σ r ≤ budget that can meet every row.

        Lines are joined one by one; a partial combination is dropped where even the most helpful
        options of the lines to come leave some row broken.
        """
        within = [np.flatnonzero(r <= budget) for r in self.reduced]
        used_by = [self._use(k, options) for k, options in enumerate(within)]
        least_use = [use.min(axis=0) for use in used_by]
        room = np.array([row.at_most for row in self.program.rows]) + ROW_TOLERANCE
        picks = np.zeros((1, len(within)), dtype=np.int32)
        spent, used = np.zeros(1), np.sum(least_use, axis=0)[None, :]
        for k in sorted(range(len(within)), key=lambda k: len(within[k])):
            prices = self.reduced[k][within[k]]
            left, right = _pairs_within(spent, prices, budget, longest)
            more = used_by[k] - least_use[k]
            for i, limit in enumerate(room):  # row by row, to keep long lists out of memory
                alive = used[left, i] + more[right, i] <= limit
                left, right = left[alive], right[alive]
            used = used[left] + more[right]
            spent = spent[left] + prices[right]
            picks = picks[left]
            picks[:, k] = within[k][right]
        return picks

    def _use(self, k: int, options: np.ndarray) -> np.ndarray:
        """Return what each option of line `k` uses of each row, options by rows."""
        rows = [row.coefficients[k][options] for row in self.program.rows]
        return np.array(rows).reshape(len(rows), len(options)).T


def _restricted(program: Program, kept: tuple[np.ndarray, ...]) -> Program:
    rows = (
        Row(row.name, tuple(c[k] for c, k in zip(row.coefficients, kept, strict=True)), row.at_most)
        for row in program.rows
    )
    costs = tuple(c[k] for c, k in zip(program.costs, kept, strict=True))
    return Program(costs, tuple(rows))


def _pairs_within(
    spent: np.ndarray, prices: np.ndarray, budget: float, longest: int
) -> tuple[np.ndarray, np.ndarray]:
    """Return the index pairs (a, b) with spent_a + prices_b ≤ budget; raise ListTooLong."""
    by_price = np.argsort(prices, kind="stable")
    counts = np.searchsorted(prices[by_price], budget - spent, side="right")
    total = int(counts.sum())
    if total > longest:
        raise ListTooLong
    left = np.repeat(np.arange(len(spent)), counts)
    starts = np.repeat(np.cumsum(counts) - counts, counts)
    return left, by_price[np.arange(total) - starts]
