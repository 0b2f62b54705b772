"""The problem: a brief under some limits, with the time that is left for it. Its methods are the
questions that can be asked: the least answer, one below a cost, any at all.

The search works to tolerances. Every answer that it gives is summed again as fractions; one that
breaks a bound by less than the tolerance is excluded.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from models.brief import Brief
from models.errors import BadInput, Fault
from models.limits import CrackLimit, Limit
from solver.mechanics.chance import law_by
from solver.mechanics.experience import unusual
from solver.search.answer import COST_TIE, Answer, DeadlineStruck, Picks
from solver.search.branch_and_bound import Found, RowsTooLoose, Search
from solver.search.chance_search import ChanceSearch
from solver.search.crack import chance_limit
from solver.search.deadline import SecondsLeft, no_deadline
from solver.search.highs import solve
from solver.search.options import LineOptions, ReadyBrief
from solver.search.over_sheets import Floors, SheetWalk
from solver.search.program import Program, build, cost_row, other_than_row
from solver.search.row import Row
from solver.search.sheets import Sheet, sheets_of


@dataclass(frozen=True, eq=False)
class Problem:
    """A brief made ready, the limits that must hold, and how long the caller will wait."""

    ready: ReadyBrief
    limits: tuple[Limit, ...]
    seconds_left: SecondsLeft = no_deadline
    sheets: tuple[Sheet, ...] = ()
    """How the piece may be rolled, the least cost first; none without a form."""

    @classmethod
    def of(cls, brief: Brief, seconds_left: SecondsLeft = no_deadline) -> "Problem":
        """Return the problem that a brief states; raise BadInput for what no estimate is known of.

        A form's own limit on the chance falls where nothing is known of such a dough or form.
        """
        ready, limits, target = ReadyBrief(brief), brief.named_limits(), brief.target
        if target is None:
            return cls(ready, limits, seconds_left)
        if any(isinstance(limit, CrackLimit) for limit in limits):
            strange = unusual(ready.before, target, ready.draws)
            if not strange:
                return cls(ready, limits, seconds_left, sheets_of(target))
            if "crack_chance_percent" in brief.stated:
                words = f"cannot be estimated: {'; '.join(strange)}; leave it out"
                raise BadInput([Fault(pointer="/window/crack_chance_percent", message=words)])
            limits = tuple(limit for limit in limits if not isinstance(limit, CrackLimit))
        return cls(ready, limits, seconds_left, sheets_of(target)[:1])

    def at(self, sheet: Sheet) -> "Problem":
        """Return the problem with the sheet rolled so."""
        limits = (
            replace(limit, target=sheet.target) if isinstance(limit, CrackLimit) else limit
            for limit in self.limits
        )
        return replace(self, limits=tuple(limits), sheets=(sheet,))

    def rolled(self, sheets: Iterable[Sheet]) -> "Problem":
        """Return the problem with these sheets to choose from."""
        return replace(self, sheets=tuple(sheets))

    @property
    def crack_limit(self) -> CrackLimit:
        """The limit on the chance; there is one where a ladder is climbed."""
        return next(limit for limit in self.limits if isinstance(limit, CrackLimit))

    @cached_property
    def options(self) -> tuple[LineOptions, ...]:
        """What each line may become where the limits hold."""
        return self.ready.options(self.limits)

    @cached_property
    def program(self) -> Program:
        """The problem as mathematics."""
        return build(self.options, self.limits)

    def under(self, limits: Iterable[Limit]) -> "Problem":
        """Return the same brief under other limits."""
        return replace(self, limits=tuple(limits))

    def without(self, *dropped: Limit) -> "Problem":
        """Return the problem in which some limits do not hold."""
        return self.under(limit for limit in self.limits if limit not in dropped)

    def easing(self, limit: Limit, eased: Limit) -> "Problem":
        """Return the problem in which `eased` stands in the place of `limit`."""
        return self.under(eased if other == limit else other for other in self.limits)

    def least(self) -> Answer | None:
        """Return the least-cost answer, ties settled, or None where there is none.

        Raises DeadlineStruck with the best answer found.
        """
        return self._over_sheets(lambda problem, at_most: problem._least(at_most))

    def below(
        self, at_most: float = np.inf, near: Answer | None = None, floors: Floors | None = None
    ) -> Answer | None:
        """Return the least-cost answer costing `at_most`, or None; ties as they fall.

        What lies next to `near` is tried first. `floors` are kept from one chance to the next.
        Raises DeadlineStruck.
        """

        def ask(problem: Problem, most: float) -> Answer | None:
            return problem.minimum_of(problem.program, most, near=near)

        return self._over_sheets(ask, at_most, near, floors)

    def any(self, at_most: float = np.inf, near: Answer | None = None) -> Answer | None:
        """Return some answer costing `at_most`, or None; next to `near` if there is one there.

        Raises DeadlineStruck.
        """
        sheets = [s for s in self.sheets if s.cost <= at_most]
        thinnest_first = sorted(sheets, key=lambda s: s.target.thickness_mm)
        floors, asked = self.floors(), list[Sheet]()
        for sheet in thinnest_first if at_most == np.inf else sheets:
            if at_most == np.inf and any(floors.never_riskier(thin, sheet) for thin in asked):
                continue
            answer = self.at(sheet)._any(at_most - float(sheet.cost), near)
            if answer is not None:
                return answer
            asked.append(sheet)
        return None if self.sheets else self._any(at_most, near)

    def floors(self) -> Floors:
        """Return that nothing is known yet of what each sheet costs."""
        return Floors(lambda sheet: law_by(sheet.target, self.ready.draws))

    def _over_sheets(
        self,
        ask: Callable[["Problem", float], Answer | None],
        at_most: float = np.inf,
        near: Answer | None = None,
        floors: Floors | None = None,
    ) -> Answer | None:
        """Return the preferred answer of all sheets."""
        if not self.sheets:
            return ask(self, at_most)
        limit = next((each for each in self.limits if isinstance(each, CrackLimit)), None)
        chance = float(limit.percent) if limit else 100.0
        on = {sheet: self.at(sheet) for sheet in self.sheets if sheet.cost <= at_most}
        if not on:
            return None
        sheets = list(on) if limit else list(on)[:1]
        walk = SheetWalk(
            sheets,
            chance,
            lambda sheet, most: ask(on[sheet], most),
            at_most,
            floors or self.floors(),
        )
        if near is not None and near.sheet in on:
            return walk.least(near.sheet)
        likeliest = min(sheets, key=lambda s: float(s.cost) + (on[s].expected() if limit else 0))
        return walk.least(likeliest)

    def expected(self) -> float:
        """Return about what the least answer costs, without any proof."""
        search = self._search
        return search.expected() if isinstance(search, ChanceSearch) else 0.0

    def _least(self, at_most: float) -> Answer | None:
        staying = self.answer((0,) * len(self.options))
        if at_most >= 0 and staying.meets(self.limits):  # any move costs more
            return staying
        try:
            self._refuse_steps(self.program)
            found = self._search.cheapest(at_most)
        except RowsTooLoose:
            answer, program = self._solve_with_cuts(_costing(self.program, at_most))
            return None if answer is None else self.settled(answer, program)
        answer = self._proved(found)
        return answer and self._preferred(answer, found.ties)

    def _any(self, at_most: float, near: Answer | None) -> Answer | None:
        picks = near.picks_among(self.options) if near else None
        try:
            self._refuse_steps(self.program)
            return self._proved(self._search.any_within(at_most, picks))
        except RowsTooLoose:
            return self.solve(_costing(self.program, at_most).costless())

    def minimum_of(
        self,
        program: Program,
        at_most: float = np.inf,
        gap: float = 0.0,
        near: Answer | None = None,
    ) -> Answer | None:
        """Return the sound answer of `program` with the least objective up to `at_most`, or None.

        `program` is the problem's with another objective or more rows; the answer is within `gap`
        of its least, or ties with it: an objective that few lines have a part in has ties by the
        million, and here one is as good as another. Raises DeadlineStruck.
        """
        gap = max(gap, COST_TIE)
        try:
            self._refuse_steps(program)
            search = self._search if program is self.program else self._search_of(program)
            picks = near.picks_among(self.options) if near else None
            return self._proved(search.cheapest(at_most, gap, picks))
        except RowsTooLoose:
            return self.solve(_costing(program, at_most), gap)

    def solve(self, program: Program, gap: float = 0.0) -> Answer | None:
        """Return the least answer of `program` that keeps every limit to the last digit, or None.

        Within `gap` of the least, where that is not 0. Raises DeadlineStruck.
        """
        return self._solve_with_cuts(program, gap)[0]

    def settled(self, answer: Answer, program: Program) -> Answer:
        """Return, of the answers that cost the same, the one that is preferred.

        `program` is the problem's, with the cuts that led to `answer`. Raises DeadlineStruck with
        `answer`.
        """
        try:
            self._look_at_the_clock(answer)
            self._refuse_steps(program)
            found = self._search_of(program).cheapest(float(answer.dough_cost) + COST_TIE)
        except RowsTooLoose:
            return self._first_of_equals(answer, program)
        return self._preferred(answer, found.ties)

    def _preferred(self, answer: Answer, ties: Sequence[Picks]) -> Answer:
        if len(ties) < 2:
            return answer
        for other in sorted(map(self.answer, ties), key=lambda tie: tie.preference):
            self._look_at_the_clock(answer)
            if other.meets(self.limits):  # the first that is sound, and no more, is judged
                return other
        return answer

    def _look_at_the_clock(self, answer: Answer | None) -> None:
        if self.seconds_left() <= 0:
            raise DeadlineStruck(answer, float(answer.cost) if answer else 0.0)

    def _first_of_equals(self, answer: Answer, program: Program) -> Answer:
        """Settle ties one preference after another, each held while the next is solved."""
        program = program.with_rows(cost_row(program.costs, float(answer.dough_cost) + COST_TIE))
        best = answer
        try:
            for preference in _preferences(answer.options):
                better = self.solve(program.minimising(preference))
                if better is None:  # the tied answer itself, lost at the edge of the tolerances
                    return best
                best = better
                score = sum(p[pick] for p, pick in zip(preference, best.picks, strict=True))
                program = program.with_rows(Row("preferred", preference, float(score)))
        except DeadlineStruck:
            raise DeadlineStruck(best, float(best.cost)) from None
        return best

    def answer(self, picks: Picks) -> Answer:
        """Return the answer that takes these options."""
        return Answer(self.ready, self.options, picks, self.sheets[0] if self.sheets else None)

    @cached_property
    def _search(self) -> Search | ChanceSearch:
        return self._search_of(self.program)

    def _search_of(self, program: Program) -> Search | ChanceSearch:
        self._look_at_the_clock(None)

        def accept(picks: Picks) -> bool:
            return self.answer(picks).meets(self.limits)

        for limit in self.limits:
            if isinstance(limit, CrackLimit):
                chance = chance_limit(limit, self.options, self.ready.draws)
                return ChanceSearch(program, chance, accept, self.seconds_left)
        return Search(program, accept, self.seconds_left, rows_suffice=True)

    def _refuse_steps(self, program: Program) -> None:
        """Raise RowsTooLoose for a program that is shorter as steps than as any list.

        Not under a limit on the chance: no row of a whole program can state it.
        """
        if program.is_stepped and not any(isinstance(each, CrackLimit) for each in self.limits):
            raise RowsTooLoose

    def _proved(self, found: Found) -> Answer | None:
        answer = self.answer(found.picks) if found.picks else None
        if not found.proved:
            raise DeadlineStruck(answer, found.bound)
        return answer

    def _solve_with_cuts(self, program: Program, gap: float = 0.0) -> tuple[Answer | None, Program]:
        """Return what `solve` does, and the program with the cuts that it took.

        Without them, what is cheaper than the answer and breaks a limit would still be among its
        ties.
        """
        while True:
            solution = solve(program, self.seconds_left, gap)
            if solution.status == "infeasible":
                return None, program
            answer = self.answer(solution.picks) if solution.picks else None
            sound = answer is not None and answer.meets(self.limits)
            if solution.status == "deadline":
                raise DeadlineStruck(answer if sound else None, solution.bound)
            assert answer is not None, "an optimal solution has an answer"
            if sound:
                return answer, program
            program = program.with_rows(other_than_row(answer.picks, answer.options))


def _costing(program: Program, at_most: float) -> Program:
    if not np.isfinite(at_most):
        return program
    return program.with_rows(cost_row(program.costs, at_most))


def _preferences(options: Sequence[LineOptions]) -> list[tuple[np.ndarray, ...]]:
    moved = tuple(np.arange(len(c)).clip(0, 1).astype(float) for c in options)
    return [moved, *(_order_of_moves(k, options) for k, c in enumerate(options) if len(c.cost) > 1)]


def _order_of_moves(k: int, options: Sequence[LineOptions]) -> tuple[np.ndarray, ...]:
    each = options[k]
    # To twelve digits: of two equal moves, up and down, the sums may differ in the last.
    by_move = np.lexsort((each.grams, np.round(each.change, 12)))
    order = tuple(np.zeros(len(other)) for other in options)
    order[k][by_move] = np.arange(len(each))
    return order
