"""The least cost under a limit on the chance of a crack, proved.

The walk is that of `solver.search.branch_and_bound`: nodes in the order of their floors, priced by
a relaxation, listed where the list is short, split where it is long. The chance comes in as rows
that hold within one node only: tangents below the chance over all that the node can still afford
(`solver.search.chance_bounds`). Rows raise the floor, a higher floor leaves fewer options, fewer
options narrow the ranges, and narrower ranges raise the rows. What is listed is judged by the
chance itself. Every row, range and floor holds for every answer of its node that is cheaper than
the best so far; the best only falls and nodes only shrink: so the last one is the least.

A good answer comes first (`solver.search.chance_guess`), and its tangent measures risk: where the
rows miss the chance by far, a node is split by risk, which narrows the ranges of all draws at once.
"""

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import count

import numpy as np

from solver.search.answer import COST_TIE, Picks
from solver.search.branch_and_bound import ROW_TOLERANCE, Found
from solver.search.chance_bounds import SOLIDS
from solver.search.chance_guess import ChanceAnswers
from solver.search.hull import hull
from solver.search.listing import ListTooLong, combinations
from solver.search.relaxation import Relaxation
from solver.search.sheet_chances import GasCase
from solver.search.table import Table, halves, separated

BLOCK = 128
ROUNDS = 8
"""Tangents that a node is given before it is listed or split."""
SHORT_LIST = 5_000
MOST_NODES = 15
"""Before the question for any answer at all is given up: a least one may take longer."""
MISSED, LEAST_RISK = 0.03, 0.2
"""Shares of one: how far a relaxed dough may be over the limit, and how thin a slice may be."""
EASED = 0.8
"""Ranges are looked at again where the budget has shrunk by this."""
ROUGHLY = 1e-4
"""Chances in single precision are off by less than a tenth of this."""
ENOUGH = 1e-4
"""A tangent that finds the relaxation's dough over the limit by less is not worth a round."""


@dataclass(frozen=True, eq=False)
class _Node:
    """Options left, the case of gas, the risk that its doughs lie between, and the tangents that
    hold there, as columns of the substances.

    Risk is a sum of the substances to the solids: the chance's tangent at a good answer.
    """

    left: np.ndarray
    case: GasCase
    risks: tuple[float, float]
    tangents: tuple[np.ndarray, ...]


class ChanceSearch(ChanceAnswers):
    """The search for the least answer, and its proof."""

    bound = -np.inf

    def cheapest(
        self, at_most: float = np.inf, gap: float = 0.0, near: Picks | None = None
    ) -> Found:
        """Return the least-cost answer within the chance and `at_most`, to `gap`, and its ties.

        `near` is where a good answer is looked for first.
        """
        self.begin(at_most, gap)
        if at_most >= 0 and self.costs_nothing_to_stay and self.keeps(self.table.starts):
            self.keep(self.table.starts)
            return self._found(proved=True)
        self.guess(near)
        return self._found(self._walk())

    @cached_property
    def costs_nothing_to_stay(self) -> bool:
        """Whether any move costs more than none, so that staying is the least there can be."""
        costs = np.delete(self.table.costs, self.table.starts)
        return not self.table.costs[self.table.starts].any() and bool((costs > COST_TIE).all())

    def expected(self) -> float:
        """Return about what the least answer costs, by one relaxation; no bound."""
        row = self.table.starts
        if self.keeps(row):
            return 0.0
        table = self.table.with_rows(self._straight_row(row)[None])
        whole = np.ones(len(table.costs), dtype=bool)
        relaxation = Relaxation(table.costs, table.use, table.room, table.starts)
        relaxed = relaxation.solve(whole, self.seconds_left())
        return np.inf if relaxed is None else float(table.costs @ relaxed.taken)

    def any_within(self, at_most: float = np.inf, near: Picks | None = None) -> Found:
        """Return some answer within the chance and `at_most`, if there is one.

        At any cost it is not proved where too many nodes would have to be looked at to know.
        """
        self.begin(at_most, np.inf)
        self.guess(near)
        nodes = MOST_NODES if at_most == np.inf else np.inf
        return self._found(self.best is not None or self._walk(nodes))

    def _found(self, proved: bool) -> Found:
        if self.best is None:
            return Found(None, np.inf, np.inf if proved else self.bound, proved)
        ties = (r for r in self.ties if self.cost_of(r) <= self.cost + COST_TIE)
        picks = tuple(dict.fromkeys(self.picks_of(row) for row in ties))
        bound = self.cost if proved else min(self.bound, self.cost)
        return Found(self.picks_of(self.best), self.cost, bound, proved, picks)

    def _walk(self, most_nodes: float = np.inf) -> bool:
        """Look at nodes until the best is proved; tell whether it is."""
        order = count()
        whole = np.ones(len(self.table.costs), dtype=bool)
        self.risk = self._risk()
        everything = self._risks(whole)
        waiting = [
            (-np.inf, next(order), _Node(whole, case, everything, ())) for case in self.cases
        ]
        while waiting:
            self.bound = waiting[0][0]
            if self.bound > self.highest():
                break
            most_nodes -= 1
            if self.seconds_left() <= 0 or most_nodes < 0:
                return False
            floor, _, node = heapq.heappop(waiting)
            for low, half in self._look(floor, node):
                heapq.heappush(waiting, (max(floor, low), next(order), half))
        return True

    def _look(self, floor: float, node: _Node) -> Iterable[tuple[float, _Node]]:
        """List a node, or return the nodes that it splits into with their floors."""
        table, left, tangents = self.table, node.left, list(node.tangents)
        widest, ranges = np.inf, None
        for _ in range(ROUNDS):
            between = self._between(node.risks)
            held = np.vstack([node.case.rows, between])
            own = np.vstack([self.scale * held @ self.substances, self._rows(tangents)])
            inner = table.with_rows(own)
            use, room = inner.use, inner.room
            relaxation = Relaxation(table.costs[left], use[:, left], room, self._starts(left))
            relaxed = relaxation.solve(np.ones(int(left.sum()), dtype=bool), self.seconds_left())
            if relaxed is None:
                return []
            taken = np.zeros(len(left))
            taken[left] = relaxed.taken
            floor, reduced = inner.floor_of(table.costs, relaxed.multipliers, left)
            budget = self.highest() - floor
            if budget < 0 or self.seconds_left() <= 0:
                return [] if budget < 0 else [(floor, node)]
            left = left & (reduced <= budget)
            try:
                self._list(inner, left, reduced, budget)
                return []
            except ListTooLong:
                pass
            substances = self.substances @ taken
            if ranges is None or budget < EASED * widest:
                ranges = self.sheets.ranges(
                    node.case, *self._padded(left, reduced), budget, between
                )
                widest = budget
            chance, columns = self.sheets.tangent(node.case, substances, ranges)
            if chance <= self.limit.at_most + ENOUGH:
                break
            used = relaxed.multipliers[len(use) - len(tangents) :] > 0
            tangents = [t for t, keep in zip(tangents, used, strict=True) if keep] + [columns]
        halves_of = self._halves_of(node, left, taken, columns, chance)
        return [
            (self._floor_of(floor, reduced, half), _Node(half, node.case, risks, tuple(tangents)))
            for half, risks in halves_of
        ]

    def _risk(self) -> np.ndarray:
        row = self.table.starts if self.best is None else self.best
        substances = self.substances[:, row].sum(axis=1)
        return self.sheets.tangent(self.case_of(substances), substances, None)[1]

    def _risks(self, left: np.ndarray) -> tuple[float, float]:
        """Bound the risk over everything."""
        risk, solids = self.risk @ self.substances, self.substances[SOLIDS]
        starts = self.table.starts
        least = np.minimum.reduceat(solids, starts).sum() or solids[solids > 0].min()
        over = float(least), float(np.maximum.reduceat(solids, starts).sum())
        low, high = np.minimum.reduceat(risk, starts).sum(), np.maximum.reduceat(risk, starts).sum()
        return min(low / o for o in over), max(high / o for o in over)

    def _between(self, risks: tuple[float, float]) -> np.ndarray:
        """Return what is at most 0 for doughs whose risk lies between two."""
        columns = np.array([-self.risk, self.risk])
        columns[:, SOLIDS] += [risks[0], -risks[1]]
        return columns

    def _halves_of(
        self,
        node: _Node,
        left: np.ndarray,
        taken: np.ndarray,
        columns: np.ndarray,
        chance: float,
    ) -> list[tuple[np.ndarray, tuple[float, float]]]:
        """Split by risk where the rows miss the chance by far, else on a line."""
        substances = self.substances @ taken
        truly = float(self.sheets.chances(substances[:, None])[0])
        low, high = node.risks
        if truly > self.limit.at_most + MISSED and high - low > LEAST_RISK:
            at = float(self.risk @ substances / substances[SOLIDS])
            at = min(max(at, low + (high - low) / 8), high - (high - low) / 8)
            return [(left, (low, at)), (left, (at, high))]
        return [(half, node.risks) for half in self._halves(left, taken, columns)]

    def _rows(self, tangents: Sequence[np.ndarray]) -> np.ndarray:
        """Return tangents ≤ limit × solids as rows over all options."""
        columns = np.array(tangents).reshape(-1, 12).copy()
        columns[:, SOLIDS] -= self.limit.at_most
        return np.asarray(self.scale * columns @ self.substances)

    def _floor_of(self, floor: float, reduced: np.ndarray, half: np.ndarray) -> float:
        least = np.minimum.reduceat(np.where(half, reduced, np.inf), self.table.starts)
        return floor + float(least.sum())

    def _halves(self, left: np.ndarray, taken: np.ndarray, columns: np.ndarray) -> list[np.ndarray]:
        table = self.table
        if (
            np.isfinite(self.highest())
            and (left[table.starts] & (np.add.reduceat(left, table.starts) > 1)).any()
        ):
            return halves(table, left, taken)
        harm = columns @ self.substances
        most = np.maximum.reduceat(np.where(left, harm, -np.inf), table.starts)
        least = np.minimum.reduceat(np.where(left, harm, np.inf), table.starts)
        line = int((most - least).argmax())
        options = np.flatnonzero(left & (table.of_line == line))
        if len(options) < 2:
            return halves(table, left, taken)
        options = options[np.argsort(harm[options], kind="stable")]
        middle = float(harm[options] @ taken[options]) / max(float(taken[options].sum()), 1e-9)
        below = int(np.clip(np.searchsorted(harm[options], middle), 1, len(options) - 1))
        return separated(left, options[:below], options)

    def _starts(self, left: np.ndarray) -> np.ndarray:
        counts = np.add.reduceat(left, self.table.starts)
        return np.asarray(np.cumsum(counts) - counts)

    def _list(self, table: Table, left: np.ndarray, reduced: np.ndarray, budget: float) -> None:
        """Judge everything that is left, in the order of cost; raise ListTooLong."""
        if not np.isfinite(budget):
            budget = float(reduced[left].max()) * len(table.starts)
        room = np.append(table.room + ROW_TOLERANCE, self.highest())
        rows = combinations(
            left, reduced, budget, table.use_and_cost, room, table.starts, SHORT_LIST
        )
        costs = table.costs[rows].sum(axis=1)
        rows = rows[np.argsort(costs, kind="stable")]
        for begin in range(0, len(rows), BLOCK):
            block = rows[begin : begin + BLOCK]
            if self.cost_of(block[0]) > self.highest():
                return
            if self.seconds_left() <= 0:
                raise ListTooLong
            chances = self.sheets.chances(self.substances[:, block].sum(axis=2), roughly=True)
            for row in block[chances <= self.limit.at_most + ROUGHLY]:
                if self.cost_of(row) > self.highest():
                    return
                if self.keeps(row):
                    if self.cost_of(row) < self.cost - COST_TIE:
                        self.keep(row)
                    else:
                        self.ties.append(row)

    def _padded(self, left: np.ndarray, reduced: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return substances and prices as lines × options that can be extreme, padded alike."""
        table, lines = self.table, []
        for k, start in enumerate(table.starts):
            end = table.starts[k + 1] if k + 1 < len(table.starts) else len(left)
            options = np.arange(start, end)[left[start:end]]
            lines.append(hull(self.substances[:, options], reduced[options], options))
        longest = max(map(len, lines))
        index = np.array([np.pad(line, (0, longest - len(line)), mode="edge") for line in lines])
        return self.substances[:, index], reduced[index]
