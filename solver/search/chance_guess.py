"""Answers under a limit on the chance of a crack, found fast and without proof.

The chance's log odds are nearly linear about a dough: rows drawn so at the doughs seen give the
least answer in most briefs. Where they lead nowhere, one line after another changes for the most
gain a cost. The proof is the business of `solver.search.chance_search`.
"""

import numpy as np

from solver.search.answer import COST_TIE, Picks
from solver.search.branch_and_bound import Accept, Search
from solver.search.chance_bounds import SOLIDS
from solver.search.deadline import SecondsLeft
from solver.search.program import Program
from solver.search.sheet_chances import ChanceLimit, GasCase, Sheets, gas_cases
from solver.search.table import Table

GUESSES = 12
MOVES = 12
SURE = 1e-9
"""How near to certain a chance is taken to be at the most, where its odds are asked."""
NEIGHBOURS = 20
CHANCE_ROUNDING = 1e-9
"""Sums of the same chances in another order differ by less; the exact judge decides."""


class ChanceAnswers:
    """A program and a limit on the chance, with the best answer found so far."""

    def __init__(
        self, program: Program, limit: ChanceLimit, accept: Accept, seconds_left: SecondsLeft
    ) -> None:
        """Lay both out."""
        self.program, self.limit = program, limit
        self.table = Table.of(program)
        self.substances = np.hstack(limit.substances)
        self.sheets = Sheets(limit.law)
        self.accept, self.seconds_left = accept, seconds_left
        self.cases = gas_cases(self.substances, self.table.starts)
        self.scale = 1 / float(self.substances[SOLIDS, self.table.starts].sum())
        self.begin(np.inf, 0.0)

    def begin(self, at_most: float, gap: float) -> None:
        """Forget what was found: another question is asked."""
        self.best: np.ndarray | None = None
        self.cost = np.inf
        self.ties: list[np.ndarray] = []
        self.at_most, self.gap = at_most, gap

    def guess(self, near: Picks | None) -> None:
        """Keep the answer of rows drawn at doughs seen: mostly the least, but without proof."""
        self._guess_from(self.table.starts + np.array(near or 0))
        if self.best is None and self.at_most == np.inf:  # else there is mostly none
            self._repair()
            if self.best is not None:
                self._guess_from(self.best)

    def _guess_from(self, row: np.ndarray) -> None:
        """Draw a row at each dough found; start again at one that keeps the limit."""
        rows: list[np.ndarray] = []
        for _ in range(GUESSES):
            if self.seconds_left() <= 0:
                return
            rows.append(self._straight_row(row))
            search = Search(
                self.program,
                lambda _: True,
                self.seconds_left,
                rows_suffice=True,
                more_use=np.array(rows),
            )
            found = search.cheapest(min(self.highest(), self.cost - COST_TIE), COST_TIE)
            if found.picks is None:
                return
            row = self.table.starts + np.array(found.picks)
            if self.keeps(row):
                self.keep(row)
                rows = []

    def _straight_row(self, row: np.ndarray) -> np.ndarray:
        """Return the limit as a row, as if the chance's log odds were linear about a dough."""
        substances = self.substances[:, row].sum(axis=1)
        chance, columns = self.sheets.tangent(self.case_of(substances), substances, None)
        most = self.limit.at_most
        chance = min(max(chance, SURE), 1 - SURE)  # the odds of what is certain have no end
        steps = np.log(most / (1 - most)) - np.log(chance / (1 - chance))
        columns[SOLIDS] -= chance + chance * (1 - chance) * steps
        return np.asarray(self.scale * columns @ self.substances)

    def _repair(self) -> None:
        """Change one line after another for the most gain a cost until every limit is kept."""
        table, row, most = self.table, self.table.starts.copy(), self.limit.at_most
        for _ in range(MOVES):
            here = row[table.of_line]
            substances = self.substances[:, row].sum(axis=1)[:, None]
            substances = substances + self.substances - self.substances[:, here]
            used = table.use[:, row].sum(axis=1)[:, None] + table.use - table.use[:, here]
            costs = table.costs[row].sum() + table.costs - table.costs[here]
            over = np.maximum(0.0, used - table.room[:, None]).max(axis=0, initial=0.0)
            chances = np.maximum(0.0, self.sheets.chances(substances, roughly=True) - most)
            harm = chances + 2 * over
            good = np.flatnonzero(harm <= CHANCE_ROUNDING)
            for option in good[np.argsort(costs[good], kind="stable")][:NEIGHBOURS]:
                near = row.copy()
                near[table.of_line[option]] = option
                if self.cost_of(near) < self.highest() and self.keeps(near):
                    self.keep(near)
                    return
            now = harm[row[0]]
            gain = (now - harm) / np.maximum(costs - costs[row[0]], 1e-3)
            best = int(gain.argmax())
            if harm[best] >= now - 1e-9 or self.seconds_left() <= 0:
                return
            row[table.of_line[best]] = best

    def case_of(self, substances: np.ndarray) -> GasCase:
        """Return the case of gas that a dough is in."""
        over = [float((case.rows @ substances).max()) for case in self.cases]
        return self.cases[int(np.argmin(over))]

    def keeps(self, row: np.ndarray) -> bool:
        """Tell whether an answer keeps every limit, the chance first."""
        chance = self.sheets.chances(self.substances[:, row].sum(axis=1)[:, None])[0]
        return bool(chance <= self.limit.at_most + CHANCE_ROUNDING) and self.accept(
            self.picks_of(row)
        )

    def keep(self, row: np.ndarray) -> None:
        """Hold on to a better answer."""
        self.best, self.cost = row, self.cost_of(row)
        self.ties.append(row)

    def cost_of(self, row: np.ndarray) -> float:
        """Return what an answer costs."""
        return float(self.table.costs[row].sum())

    def picks_of(self, row: np.ndarray) -> Picks:
        """Return an answer's options, line by line."""
        return tuple((row - self.table.starts).tolist())

    def highest(self) -> float:
        """Return what an answer may cost that is still of use."""
        return min(self.at_most, self.cost - self.gap if self.gap else self.cost + COST_TIE)
