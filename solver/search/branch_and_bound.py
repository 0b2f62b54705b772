"""Branch and bound: the least answer of a program, proved by pricing and listing.

The relaxation's multipliers λ ≥ 0 (any would do) turn each option's cost into a reduced cost
    r_kj = c_kj + Σ_i λ_i a_ikj − min_j (c_kj + Σ_i λ_i a_ikj) ≥ 0
and put a floor under every cost: what meets the rows costs at least floor + Σ_k r_k,pick(k). So an
option with r > U − floor is in no answer that costs at most U, and the combinations with
Σ r ≤ U − floor hold them all. Where that list is short it is made, and the node is closed; else the
node is split in two, mostly on whether one line stays or moves: a move has a fixed cost, of which
the relaxation pays a fraction, and that is what makes its floor low. Nodes wait in the order of
their floors; when the least floor reaches U, U is proved.

Where the rows are so tight that no answer turns up, they are searched by another price first: the
least amount by which all rows must be overstepped. That list too is a proof, that nothing is there.

Ties come out with the answer: U is kept a tie's width above the best, so every list holds them all.
"""

import heapq
from collections.abc import Callable, Iterator
from functools import cached_property
from itertools import count
from typing import NamedTuple

import numpy as np

from solver.search.answer import COST_TIE, Picks
from solver.search.deadline import SecondsLeft
from solver.search.listing import ListTooLong, combinations
from solver.search.program import Program
from solver.search.relaxation import Relaxation
from solver.search.table import Table, halves
from solver.search.thin_windows import nothing_fits

Accept = Callable[[Picks], bool]
"""Judges an answer exactly, where the listing only sums floats."""

ROW_TOLERANCE = 1e-10
"""Rows are scaled by their own limit; what passes by less than this is judged exactly elsewhere."""

FIRST_BUDGET = 1e-3
WIDENING = 4
SHORT_LIST = 20_000
LONGEST_LIST = 400_000
PARTS_BEFORE_FEASIBILITY = 6
"""Nodes looked at without an answer in hand before the rows are asked for any answer at all."""
NEIGHBOURS = 20
"""Answers next to one at hand that are judged before the search begins."""
CLEAR = 1e-11
"""Of a row's terms: sums of floats are off by a thousandth of this."""
MOST_REFUSED = 100
"""Answers that pass the rows and fail the exact judgement; more need rows that fit better."""


class RowsTooLoose(Exception):
    """Answer after answer passes the rows and fails the exact judgement."""


class Found(NamedTuple):
    """The best answer, its cost, what no answer costs less than, and all that cost the same.

    Without an answer `picks` is None and `cost` infinite; with `proved` there is then none.
    """

    picks: Picks | None
    cost: float
    bound: float
    proved: bool
    ties: tuple[Picks, ...] = ()


class Search:
    """One program being searched, with its relaxation; each question about it is a method.

    `accept` judges what the rows state, exactly.
    """

    def __init__(
        self,
        program: Program,
        accept: Accept,
        seconds_left: SecondsLeft,
        *,
        rows_suffice: bool = False,
        more_use: np.ndarray | None = None,
    ) -> None:
        """Lay the program out; `rows_suffice` where the rows say all that `accept` judges.

        `more_use` are more rows over all options, each with no room.
        """
        self._rows_suffice = rows_suffice
        self.table = Table.of(program)
        if more_use is not None:
            self.table = self.table.with_rows(more_use)
        self.accept = accept
        self.seconds_left = seconds_left

    @cached_property
    def _by_cost(self) -> "_Prices":
        return _Prices(self.table, elastic=False)

    @cached_property
    def _by_excess(self) -> "_Prices":
        return _Prices(self.table, elastic=True)

    def cheapest(
        self, at_most: float = np.inf, gap: float = 0.0, near: Picks | None = None
    ) -> Found:
        """Return the least-cost answer that `accept` takes, within `gap`, and its ties.

        The answers that differ from `near` in one line are tried first.
        """
        hunt = _Hunt(self, at_most, gap)
        hunt.try_near(near)
        hunt.run(self._by_cost)
        return hunt.found()

    def any_within(self, at_most: float = np.inf, near: Picks | None = None) -> Found:
        """Return some answer costing `at_most`, if there is one, `near` at best."""
        hunt = _Hunt(self, at_most, np.inf)
        hunt.try_near(near)
        if hunt.best is None:
            hunt.run(self._by_cost if np.isfinite(at_most) else self._by_excess)
        else:
            hunt.proved = True
        return hunt.found()

    def takes(self, row: np.ndarray) -> bool:
        """Tell whether the options at `row` keep every limit to the last digit.

        Where the rows suffice, what clears every one by far more than its sum can be off needs no
        exact judge.
        """
        if not self._rows_suffice:
            return self.accept(tuple((row - self.table.starts).tolist()))
        used = self.table.use[:, row]
        sure = CLEAR * np.maximum(1.0, np.abs(used).sum(axis=1))
        if (used.sum(axis=1) < self.table.room - sure).all():
            return True
        return self.accept(tuple((row - self.table.starts).tolist()))


def cheapest(
    program: Program,
    accept: Accept,
    seconds_left: SecondsLeft,
    *,
    at_most: float = np.inf,
    gap: float = 0.0,
) -> Found:
    """Return the least-cost answer of `program` that `accept` takes, to within `gap`."""
    return Search(program, accept, seconds_left).cheapest(at_most, gap)


class _Prices:
    """What is minimised over a table, and its relaxation: the cost, or the excess over the rows."""

    def __init__(self, table: Table, *, elastic: bool) -> None:
        self.table = table
        self.elastic = elastic
        self.costs = 0 * table.costs if elastic else table.costs
        self.relaxation = Relaxation(
            table.costs, table.use, table.room, table.starts, elastic=elastic
        )


class _Hunt:
    """One walk through the nodes, with the best answer so far."""

    def __init__(self, search: Search, at_most: float, gap: float) -> None:
        self.search, self.table = search, search.table
        self.gap = gap
        self.at_most = at_most
        self.best: np.ndarray | None = None
        self.cost = np.inf
        self.near: list[np.ndarray] = []  # what might tie with the best
        self.bound = -np.inf
        self.proved = False

    def found(self) -> Found:
        """Return what the walk found."""
        if self.best is None:
            bound = np.inf if self.proved else self.bound
            return Found(None, np.inf, bound, self.proved)
        bound = self.cost if self.proved else min(self.bound, self.cost)
        near = np.array(self.near)
        ties = near[self.table.costs[near].sum(axis=1) <= self.cost + COST_TIE]
        distinct = dict.fromkeys(map(tuple, (ties - self.table.starts).tolist()))
        return Found(self._picks(self.best), self.cost, bound, self.proved, tuple(distinct))

    def try_near(self, picks: Picks | None) -> None:
        """Keep the cheapest answer that differs from `picks` (or staying) in one line at most."""
        table = self.table
        base = table.starts + np.array(picks or (0,) * len(table.starts))
        use, costs = table.one_move_from(base)
        fits = np.flatnonzero((use <= table.room[:, None]).all(axis=0) & (costs <= self._highest()))
        for option in fits[np.argsort(costs[fits], kind="stable")][:NEIGHBOURS]:
            row = base.copy()
            row[table.of_line[option]] = option
            if self.search.takes(row):
                self._keep(row)
                return

    def run(self, prices: _Prices) -> None:
        """Look at the nodes in the order of their floors until the best is proved."""
        order = count()  # of equal floors the node made first comes first
        whole = np.ones(len(self.table.costs), dtype=bool)
        waiting: list[tuple[float, int, np.ndarray]] = [(-np.inf, next(order), whole)]
        looked_at = 0
        while waiting:
            self.bound = waiting[0][0]
            if self._closed(self.bound, prices):
                break
            if self.search.seconds_left() <= 0:
                return
            looked_at += 1
            if looked_at == PARTS_BEFORE_FEASIBILITY and self._nothing_at_all(prices):
                break
            floor, _, left = heapq.heappop(waiting)
            for node_floor, node in self._look(prices, floor, left):
                heapq.heappush(waiting, (max(floor, node_floor), next(order), node))
        self.proved = True

    def _nothing_at_all(self, prices: _Prices) -> bool:
        """Tell whether no answer meets the rows; one that does is kept."""
        if self.best is None and nothing_fits(self.table):
            return True
        if prices.elastic or np.isfinite(self._highest()):
            return False
        hunt = _Hunt(self.search, np.inf, np.inf)
        hunt.run(self.search._by_excess)
        if hunt.best is not None:
            self._keep(hunt.best)
        return hunt.proved and hunt.best is None

    def _highest(self) -> float:
        """Return what an answer may cost that is still of use."""
        if self.best is None:
            return self.at_most
        return min(self.at_most, self.cost - self.gap if self.gap else self.cost + COST_TIE)

    def _closed(self, floor: float, prices: _Prices) -> bool:
        if self.best is not None and (prices.elastic or self.gap == np.inf):
            return True
        return floor > (ROW_TOLERANCE if prices.elastic else self._highest())

    def _look(
        self, prices: _Prices, floor: float, left: np.ndarray
    ) -> Iterator[tuple[float, np.ndarray]]:
        """List a node, or yield the nodes that it splits into, with their floors."""
        relaxed = prices.relaxation.solve(left, self.search.seconds_left())
        if relaxed is None:
            return
        floor, reduced = self.table.floor_of(prices.costs, relaxed.multipliers, left)
        if self.best is None:
            self.try_near(self._mostly(relaxed.taken))
        if self._closed(floor, prices) or self._listed(prices, floor, reduced, left):
            return
        highest = ROW_TOLERANCE if prices.elastic else self._highest()
        left = left & (reduced <= highest - floor)
        for node in halves(self.table, left, relaxed.taken):
            least = np.minimum.reduceat(np.where(node, reduced, np.inf), self.table.starts)
            node_floor = floor + float(least.sum())
            if not self._closed(node_floor, prices):
                yield node_floor, node

    def _mostly(self, taken: np.ndarray) -> Picks:
        """Return the option of each line of which the relaxation takes the most."""
        most = np.maximum.reduceat(taken, self.table.starts)[self.table.of_line]
        mostly = np.flatnonzero(taken >= most)
        row = mostly[np.unique(self.table.of_line[mostly], return_index=True)[1]]
        return self._picks(row)

    def _listed(self, prices: _Prices, floor: float, reduced: np.ndarray, left: np.ndarray) -> bool:
        """Tell whether all that matters of the node could be listed; keep the best of it."""
        budget = FIRST_BUDGET
        longest = SHORT_LIST if self._can_split(left) else LONGEST_LIST
        try:
            while True:
                highest = ROW_TOLERANCE if prices.elastic else self._highest()
                widest = min(highest - floor, float(reduced[left].max()) * len(self.table.starts))
                if np.isfinite(highest):
                    budget = widest
                budget = min(budget, widest)
                self._keep_best(prices, floor, reduced, left, budget, longest)
                if budget >= widest or self._closed(floor, prices):
                    return True
                if self.cost + COST_TIE <= floor + budget:
                    return True
                budget *= WIDENING
        except ListTooLong:
            return False

    def _can_split(self, left: np.ndarray) -> bool:
        return bool((np.add.reduceat(left, self.table.starts) > 1).any())

    def _keep_best(
        self,
        prices: _Prices,
        floor: float,
        reduced: np.ndarray,
        left: np.ndarray,
        budget: float,
        longest: int,
    ) -> None:
        table = self.table
        room = np.append(table.room + ROW_TOLERANCE, self._highest())
        picks = combinations(left, reduced, budget, table.use_and_cost, room, table.starts, longest)
        if not len(picks):
            return
        costs = table.costs[picks].sum(axis=1)
        worths = reduced[picks].sum(axis=1) if prices.elastic else costs
        order = np.argsort(worths, kind="stable")
        refused = 0
        for place, at in enumerate(order):
            row = picks[at]
            if costs[at] > self._highest():
                if prices.elastic:
                    continue
                return
            if self.best is not None and costs[at] > self.cost - COST_TIE:
                self._keep_ties(picks[order[place:]], costs[order[place:]])
                return
            if self.search.takes(row):
                self._keep(row)
                if self.gap == np.inf:
                    return
            else:
                refused += 1
                if refused > MOST_REFUSED:
                    raise RowsTooLoose

    def _keep_ties(self, rows: np.ndarray, costs: np.ndarray) -> None:
        """Keep what costs the same, cheapest first; within a gap any of them will do."""
        if not self.gap:
            self.near.extend(rows[: np.searchsorted(costs, self.cost + COST_TIE, side="right")])

    def _keep(self, row: np.ndarray) -> None:
        self.best, self.cost = row, self._cost(row)
        self.near = [row]

    def _cost(self, row: np.ndarray) -> float:
        return float(self.table.costs[row].sum())

    def _picks(self, row: np.ndarray) -> Picks:
        return tuple((row - self.table.starts).tolist())
