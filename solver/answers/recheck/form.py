"""What an answer promises of the piece on its form: the sheet, its cost, the chance, the growth."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from models.brief import Brief
from models.chance import Spread
from models.exact import exact
from models.formula import Formula
from models.outcome import Outcome
from solver.answers.recheck.chance import Again, estimates_again
from solver.mechanics.belief import untried
from solver.mechanics.experience import unusual
from solver.mechanics.round_test import believed

GUIDES_MM = (1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8, 10)
GUIDES_INCH = tuple(
    Fraction(mark) for mark in ["1/16", "3/32", "1/8", "5/32", "3/16", "7/32", "1/4", "5/16", "3/8"]
)
"""The thicknesses that guides set."""

CLOSE = 0.02
"""A dome's rim, integrated in steps, is this close: points of a chance, millimetres of growth."""


@dataclass(frozen=True)
class FormPromises:
    """A brief, the answer to it, and the dough before and after."""

    brief: Brief
    outcome: Outcome
    before: Formula
    after: Formula

    def faults(self) -> Iterator[str]:
        """Yield every promise that is broken."""
        yield from self._sheet_faults()
        yield from self._estimate_faults()

    def sheet_cost(self) -> Fraction:
        """0.02 + 0.1 (1 − t / t planned) + 0.2 for each mm below 3; chilling 0.02."""
        planned, shown = self.brief.target, self.outcome.target
        if planned is None or shown is None or shown.after is None:
            return Fraction(0)
        cost = Fraction(2, 100) * (shown.after.chilled and not planned.chilled)
        asked, rolled = exact(planned.thickness_mm), exact(shown.after.thickness_mm)
        if rolled != asked:
            thin = max(Fraction(0), 3 - rolled)
            cost += Fraction(2, 100) + (1 - rolled / asked) / 10 + thin / 5
        return cost

    def _sheet_faults(self) -> Iterator[str]:
        planned, shown = self.brief.target, self.outcome.target
        if planned is None or shown is None:
            if (planned is None) != (shown is None):
                yield "the form is not the brief's"
            return
        as_planned = (shown.before.thickness_mm, shown.before.chilled)
        if shown.form != planned.form or as_planned != (planned.thickness_mm, planned.chilled):
            yield "the sheet as planned is not the brief's"
        if shown.after is None:
            yield "no sheet is proposed"
            return
        after, least = shown.after, planned.may_roll_to_mm
        if after.chilled != planned.chilled and not (after.chilled and planned.may_chill):
            yield "the sheet is not to be chilled"
        if after.thickness_mm == planned.thickness_mm:
            return
        if least is None or not least - 0.01 <= after.thickness_mm < planned.thickness_mm:
            yield f"a sheet of {after.thickness_mm} mm was not allowed"
        inch = exact(after.thickness_mm) / Fraction("25.4")
        if float(after.thickness_mm) not in GUIDES_MM and not any(
            abs(inch - mark) < Fraction(1, 10**9) for mark in GUIDES_INCH
        ):
            yield f"no guide sets {after.thickness_mm} mm"

    def _estimate_faults(self) -> Iterator[str]:
        planned, shown, form = self.brief.target, self.outcome.target, self.outcome.form
        if planned is None or shown is None:
            return
        if form is None:
            yield "nothing is said of the form"
            return
        brief = self.brief
        draws = believed(brief.round_test, brief.formula, brief.taught) or untried()
        chance, growth = form.chance_percent, form.growth_mm
        strange = unusual(self.before, planned, draws)
        states = [(shown.before, self.before, chance.before, growth.before)]
        if shown.after is not None:
            states.append((shown.after, self.after, chance.after, growth.after))
        limit = self.outcome.window.get("crack_chance_percent")
        for sheet, dough, told_chance, told_growth in states:
            rolled = planned.rolled(sheet.thickness_mm, chilled=sheet.chilled)
            if told_chance is None or told_growth is None:
                if told_chance != told_growth or not (strange or unusual(dough, rolled, draws)):
                    yield "an estimate is kept back"
                continue
            parts = [part for line in dough.lines for part in line.amount.parts]
            true, grows = estimates_again(parts, rolled, draws)
            if not _alike(told_chance, true):
                yield f"the chance is {true}, not {told_chance}"
            if not _alike(told_growth, grows):
                yield f"the growth is {grows}, not {told_growth}"
            most = None if limit is None or dough is self.before else limit.max
            if most is not None and true.value > most + CLOSE:
                yield f"the chance of {true.value:.3g} % is above its limit"


def _alike(shown: Spread, true: Again) -> bool:
    told = (shown.value, shown.low, shown.high)
    return all(abs(one - other) <= CLOSE for one, other in zip(told, true, strict=True))
