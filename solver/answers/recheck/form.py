"""What an answer promises of the piece on its form: the sheet, its cost, and the chance."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from models.brief import Brief
from models.exact import exact
from models.measures import Part
from models.outcome import Outcome
from solver.answers.recheck.chance import chance_again
from solver.mechanics.belief import untried
from solver.mechanics.round_test import believed

GUIDES_MM = (1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8, 10)
GUIDES_INCH = tuple(
    Fraction(mark) for mark in ["1/16", "3/32", "1/8", "5/32", "3/16", "7/32", "1/4", "5/16", "3/8"]
)
"""The thicknesses that guides set."""

CHANCE_POINTS = 0.02
"""A dome's rim, integrated in steps, is this close."""


@dataclass(frozen=True)
class FormPromises:
    """A brief, the answer to it, and what the dough is made of before and after."""

    brief: Brief
    outcome: Outcome
    before: list[Part]
    after: list[Part]

    def faults(self) -> Iterator[str]:
        """Yield every promise that is broken."""
        yield from self._sheet_faults()
        yield from self._chance_faults()

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
        if shown.form != planned.form or shown.before.thickness_mm != planned.thickness_mm:
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

    def _chance_faults(self) -> Iterator[str]:
        planned, shown, form = self.brief.target, self.outcome.target, self.outcome.form
        if planned is None or shown is None or form is None:
            return
        brief = self.brief
        draws = believed(brief.round_test, brief.formula, brief.taught) or untried()
        states = [(form.chance_percent.before, shown.before, self.before)]
        if shown.after is not None:
            states.append((form.chance_percent.after, shown.after, self.after))
        limit = self.outcome.window.get("crack_chance_percent")
        for spread, sheet, parts in states:
            if spread is None:
                continue
            rolled = planned.rolled(sheet.thickness_mm, chilled=sheet.chilled)
            chance = chance_again(parts, rolled, draws)
            if not abs(chance - spread.value) <= CHANCE_POINTS:
                yield f"the chance is {chance:.3g} %, not {spread.value} %"
            most = None if limit is None or parts is self.before else limit.max
            if most is not None and chance > most + CHANCE_POINTS:
                yield f"the chance of {chance:.3g} % is above its limit"
