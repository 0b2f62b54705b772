"""Over sheets: the least answer where how the piece is rolled is a choice like the amounts.

Each sheet has a cost of its own and a least dough. Two things keep most of them from being searched
to the end. The sheet on which a relaxation expects the least cost goes first, so that the others
need only be cheaper. And a thinner sheet, chilled alike, never makes a crack likelier (that is
looked at draw by draw, not taken for granted): where no dough within a cost will do on the thinner
sheet, none will on the thicker, so the thinner one is asked for the thicker's sake too.

What is proved of a sheet at one chance holds at every smaller chance: a front keeps it in `Floors`.
"""

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from solver.mechanics.chance import SheetLaw, never_riskier
from solver.search.answer import COST_TIE, Answer, DeadlineStruck
from solver.search.sheets import Sheet

Ask = Callable[[Sheet, float], Answer | None]
"""Returns the least answer on a sheet whose dough costs at most so much, or None."""


class Floors:
    """What no dough on a sheet costs less than, by the chance that it was asked to keep.

    For one dough, its options and its other limits.
    """

    def __init__(self, law_on: Callable[[Sheet], SheetLaw]) -> None:
        """Know nothing yet."""
        self._law_on = law_on
        self._proved: list[tuple[Sheet, float, float]] = []
        self._compared: dict[tuple[Sheet, Sheet], bool] = {}

    def learn(self, sheet: Sheet, chance: float, floor: float) -> None:
        """Keep what is proved of a sheet."""
        self._proved.append((sheet, chance, floor))

    def under(self, sheet: Sheet, chance: float) -> float:
        """Return what no dough on `sheet` within `chance` costs less than."""
        floors = (
            floor
            for other, asked, floor in self._proved
            if asked >= chance and self.never_riskier(other, sheet)
        )
        return max(floors, default=0.0)

    def never_riskier(self, one: Sheet, other: Sheet) -> bool:
        """Tell whether no dough cracks sooner on `one` than on `other`."""
        if one is other:
            return True
        if (one, other) not in self._compared:
            self._compared[one, other] = never_riskier(self._law_on(one), self._law_on(other))
        return self._compared[one, other]


class SheetWalk:
    """One question about several sheets, with the best answer so far."""

    def __init__(
        self, sheets: Sequence[Sheet], chance: float, ask: Ask, at_most: float, floors: Floors
    ) -> None:
        """Begin with none opened; no answer may cost more than `at_most`."""
        self._sheets, self._chance, self._ask, self._floors = sheets, chance, ask, floors
        self._most = at_most
        self._solved: set[Sheet] = set()
        self._best: Answer | None = None

    def least(self, first: Sheet) -> Answer | None:
        """Return the preferred answer of all sheets, `first` opened first.

        Raises DeadlineStruck with what was found over all sheets.
        """
        try:
            self._open(first, self._room_on(first))
            for sheet in self._thinnest_first():
                thicker = [
                    s
                    for s in self._sheets
                    if not self._is_closed(s) and self._floors.never_riskier(sheet, s)
                ]
                if thicker and sheet not in self._solved:
                    self._open(sheet, max(map(self._room_on, thicker)))
        except DeadlineStruck as struck:
            raise self._struck(struck) from None
        return self._best

    def _open(self, sheet: Sheet, room: float) -> None:
        try:
            answer = self._ask(sheet, room)
        except DeadlineStruck as struck:
            self._floors.learn(sheet, self._chance, struck.bound)
            raise
        if answer is None:
            self._floors.learn(sheet, self._chance, float(np.nextafter(room, np.inf)))
            return
        self._solved.add(sheet)
        self._floors.learn(sheet, self._chance, float(answer.dough_cost))
        if float(answer.cost) > self._most + COST_TIE:
            return
        if self._best is None or answer.preference < self._best.preference:
            self._best = answer
            self._most = float(answer.cost)

    def _room_on(self, sheet: Sheet) -> float:
        """Return what a dough on the sheet may cost that is still of use."""
        return self._most - float(sheet.cost) + (COST_TIE if self._best else 0.0)

    def _is_closed(self, sheet: Sheet) -> bool:
        floor = self._floors.under(sheet, self._chance)
        return sheet in self._solved or floor == np.inf or floor > self._room_on(sheet)

    def _thinnest_first(self) -> Iterator[Sheet]:
        yield from sorted(self._sheets, key=lambda s: (s.target.thickness_mm, s.cost))

    def _struck(self, struck: DeadlineStruck) -> DeadlineStruck:
        found = [answer for answer in (self._best, struck.best) if answer is not None]
        best = min(found, key=lambda answer: answer.cost, default=None)
        floors = (
            float(s.cost) + self._floors.under(s, self._chance)
            for s in self._sheets
            if not self._is_closed(s)
        )
        bound = min(floors, default=self._most)
        return DeadlineStruck(best, min(bound, float(best.cost)) if best else bound)
