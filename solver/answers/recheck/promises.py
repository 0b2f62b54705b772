"""Every promise that an answer makes, and which of them it breaks."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from models.brief import Brief
from models.cautions import allergens_of
from models.exact import exact
from models.formula import Formula, FormulaLine
from models.measures import Amount, Part
from models.outcome import Outcome
from models.ratios import RatioName
from solver.answers.recheck.cost import SHOWN, WEIGHTS, cost_faults, same
from solver.answers.recheck.form import FormPromises
from solver.answers.recheck.handling import RATIOS_OF_HANDLING, still_rolls
from solver.answers.recheck.pieces import factor_again, piece_faults
from solver.answers.recheck.sums import ratios_again
from solver.answers.recheck.weighing import (
    RecheckedLine,
    kind_of,
    measurable_near,
    mostly_written_by,
    weigh_again,
)
from solver.answers.recheck.words import (
    Said,
    UnreadableMeasure,
    faults_of,
    fillings_as_written,
)


@dataclass(frozen=True)
class Promises:
    """A brief and the answer to it, whose promises are held against it."""

    brief: Brief
    outcome: Outcome

    def faults(self) -> Iterator[str]:
        """Yield every promise that is broken."""
        if self.outcome.cost is None:
            yield from self._faults_without_answer()
            return
        yield from self._line_order_faults()
        for line in self.lines:
            yield from self._amount_faults(line)
            yield from self._reach_faults(line)
            yield from self._shown_faults(line)
        yield from self._named_limit_faults()
        yield from self._ratio_faults()
        yield from cost_faults(
            self.brief, self.outcome.cost, self.lines, self.flour_before, self.form.sheet_cost()
        )
        yield from self.form.faults()
        yield from self._outcome_faults()

    # --- what the answer starts from ---

    @cached_property
    def written(self) -> tuple[FormulaLine, ...]:
        """The lines of the recipe at the batch's size."""
        formula = self.brief.formula
        return formula.times(self.factor).lines if self.brief.batch else formula.lines

    @cached_property
    def factor(self) -> Fraction:
        """What the batch multiplies every line by."""
        batch, formula = self.brief.batch, self.brief.formula
        if batch is None:
            return Fraction(1)
        if batch.factor is not None:
            return exact(batch.factor)
        if batch.flour_grams is not None:
            flour = sum((g.grams for g in formula.lines if g.role == "flour"), Fraction(0))
            return exact(batch.flour_grams) / flour
        if batch.dough_grams is not None:
            whole = sum((line.grams for line in formula.lines), Fraction(0))
            return exact(batch.dough_grams) / whole
        return factor_again(self.outcome.batch_factor, formula)

    @cached_property
    def flour_before(self) -> Fraction:
        """Grams of flour that the answer starts from."""
        return sum((line.grams for line in self.written if line.role == "flour"), Fraction(0))

    @cached_property
    def lines(self) -> list[RecheckedLine]:
        """The lines of the answer, weighed from their words."""
        mostly = mostly_written_by(self.brief.formula.lines)
        return [
            weigh_again(
                shown,
                before,
                kind_of(before, self.brief.measures, mostly),
                in_batch=self.brief.batch is not None,
            )
            for shown, before in zip(self.outcome.lines, self._starts(), strict=False)
        ]

    def _starts(self) -> Iterator[FormulaLine]:
        yield from self.written
        pantry = self.brief.recipe.pantry
        for line in self.outcome.lines[len(self.written) :]:
            ingredient = pantry.find(line.ingredient)
            if ingredient is None:
                raise UnreadableMeasure(f"{line.ingredient} is no known ingredient")
            yield FormulaLine(ingredient, Amount((Part(ingredient, Fraction(0)),), ()))

    @cached_property
    def form(self) -> FormPromises:
        """What is promised of the piece on its form."""
        before = Formula(self.written, self.brief.powder_strength)
        return FormPromises(self.brief, self.outcome, before, self.dough)

    @cached_property
    def dough(self) -> Formula:
        """The dough of the answer."""
        lines = (FormulaLine(x.amount.parts[0].ingredient, x.amount) for x in self.lines)
        return Formula(tuple(lines), self.brief.powder_strength)

    # --- the promises ---

    def _line_order_faults(self) -> Iterator[str]:
        shown = [(line.ingredient, line.role) for line in self.outcome.lines]
        written = [(line.name, line.role) for line in self.written]
        if shown[: len(written)] != written:
            yield "the lines are not those of the recipe, in its order"
        allowed = [ingredient.name for ingredient in self.brief.added]
        added = [name for name, _ in shown[len(written) :]]
        if added != [name for name in allowed if name in added]:
            yield f"{added} are not among what may be added, in its order"
        if any(not line.moved for line in self.outcome.lines[len(written) :]):
            yield "an added line stays at nothing"

    def _amount_faults(self, line: RecheckedLine) -> Iterator[str]:
        after, name = line.shown.after, line.shown.ingredient
        assert after is not None
        if float(line.grams) != after.grams:
            yield f"{name}: {after.measure} is not {after.grams} g"
        scoops = [(scoop.quantity, scoop.unit) for scoop in after.scoops]
        in_batch = self.brief.batch and line.before.grams and not line.before.is_mixed
        if line.moved or in_batch:
            for fault in faults_of(line.kind, line.said, scoops):
                yield f"{name}: {after.measure}: {fault}"
        else:
            if after.measure != line.before.amount.measure:
                yield f"{name} does not move, and reads {after.measure}"
            written = [Said(term.quantity, term.unit) for term in line.before.amount.terms]
            if scoops != fillings_as_written(written):
                yield f"{name} does not move: the fillings are not those of {after.measure}"
        if not line.moved and in_batch:
            yield from self._batch_faults(line)

    def _batch_faults(self, line: RecheckedLine) -> Iterator[str]:
        """An unmoved line is the measurable amount nearest to the scaled one, and not nothing."""
        off = abs(line.grams - line.before.grams)
        if not line.grams:
            yield f"{line.shown.ingredient} was lost in scaling"
        for grams in measurable_near(line):
            nearer = abs(grams - line.before.grams)
            if grams > 0 and (nearer, grams) < (off, line.grams):
                yield f"{line.shown.ingredient}: {float(grams)} g is nearer to the scaled amount"
                return

    def _reach_faults(self, line: RecheckedLine) -> Iterator[str]:
        if not line.moved:
            return
        name, role, start = line.shown.ingredient, line.before.role, line.before.grams
        if role not in {*WEIGHTS, *self.brief.weights}:
            yield f"{name} moved, but its role does not"
        if not start:
            share = Fraction(5, 100) if role == "leavener" else Fraction(30, 100)
            if line.grams > share * self.flour_before:
                yield f"{name}: more was added than may be"
            return
        flour_limit = self.brief.limits.max_flour_change_percent
        down = up = Fraction(1, 2)
        if role == "leavener":
            down = Fraction(1)
        if role == "flour":
            down = up = exact(20 if flour_limit is None else flour_limit) / 100
        if not (1 - down) * start <= line.grams <= (1 + up) * start:
            yield f"{name} moved beyond its reach"

    def _named_limit_faults(self) -> Iterator[str]:
        pantry, limits = self.brief.recipe.pantry, self.brief.limits
        held = [(name, Fraction(0)) for name in limits.keep]
        held += [(name, exact(percent)) for name, percent in limits.max_change_percent.items()]
        for name, percent in held:
            meant = pantry.find(name)
            for line in self.lines[: len(self.written)]:
                if meant is None or line.before.name != meant.name or not line.moved:
                    continue
                if 100 * abs(line.grams - line.before.grams) > percent * line.before.grams:
                    yield f"{name} moved by more than {float(percent)} %"

    def _shown_faults(self, line: RecheckedLine) -> Iterator[str]:
        shown, start = line.shown, line.before.grams
        if shown.before.grams != float(start) or shown.before.measure != line.before.amount.measure:
            yield f"{shown.ingredient} does not start from {shown.before.measure}"
        if line.moved != bool(shown.reason):
            yield f"{shown.ingredient}: a moved line has a reason, another has none"
        percent = None if not start else 100 * (line.grams - start) / start
        if not same(shown.change_percent, percent):
            yield f"{shown.ingredient} is not changed by {shown.change_percent} %"

    # --- ratios and bounds ---

    @cached_property
    def ratios(self) -> dict[RatioName, Fraction | None]:
        """The ratios of the answer."""
        return self._ratios_of(line.amount for line in self.lines)

    def _ratios_of(self, amounts: Iterable[Amount]) -> dict[RatioName, Fraction | None]:
        parts = (part for amount in amounts for part in amount.parts)
        return ratios_again(parts, self.brief.powder_strength)

    def _ratio_faults(self) -> Iterator[str]:
        if not sum(line.grams for line in self.lines if line.before.role == "flour"):
            yield "no flour is left"
        if self.outcome.ratios.after is None:
            yield "the ratios after are missing"
            return
        before = self._ratios_of(line.amount for line in self.written)
        shown = ((self.outcome.ratios.before, before), (self.outcome.ratios.after, self.ratios))
        for values, true in shown:
            for name, ratio in true.items():
                if not same(getattr(values, name), ratio):
                    yield f"{name} is not {getattr(values, name)}"
        yield from self._bound_faults(before)

    def _bound_faults(self, before: dict[RatioName, Fraction | None]) -> Iterator[str]:
        stated = dict(self.brief.window.ranges()) if self.brief.window else {}
        held = dict(self.brief.limits.ranges())
        for bounds in (stated, held):
            for name, allowed in bounds.items():
                least = None if allowed.min is None else exact(allowed.min)
                most = None if allowed.max is None else exact(allowed.max)
                if not _within(self.ratios[name], least, most):
                    yield f"{name} does not keep its bounds"
        if self.brief.target is None:
            return
        for name in RATIOS_OF_HANDLING:
            now = before[name]
            if name in stated or not now:
                continue
            after = self.ratios[name]
            if after is None or not still_rolls(name, after, now, self.brief.taught, 2 * SHOWN):
                yield f"{name} moved by more than a dough that still rolls allows"

    # --- the outcome ---

    def _outcome_faults(self) -> Iterator[str]:
        outcome, cost = self.outcome, self.outcome.cost
        assert cost is not None
        moved = any(line.moved for line in self.lines) or self.form.sheet_cost() > 0
        words = {"unfinished"} | ({"reformulated"} if moved else {"unchanged"})
        if outcome.outcome not in words:
            yield f"{outcome.outcome} is not what happened"
        if outcome.proof is None or not outcome.proof.bound <= cost.total + float(SHOWN):
            yield "the proof's bound is above the cost"
        elif outcome.proof.status == "optimal" and cost.total > outcome.proof.bound + float(SHOWN):
            yield "the proof does not reach the cost"
        if not same(outcome.batch_factor, self.factor):
            yield f"the batch's factor is not {outcome.batch_factor}"
        yield from piece_faults(self.brief, outcome, sum(x.grams for x in self.lines))
        if outcome.allergens != allergens_of(self.dough, self.brief.recipe.unsettled):
            yield "the allergens are not those of the lines"
        yield from self._window_faults()

    def _window_faults(self) -> Iterator[str]:
        stated = self.brief.window
        for name, bound in self.outcome.window.items():
            allowed = getattr(stated, name) if stated is not None else None
            if (bound.source == "caller") != (allowed is not None):
                yield f"{name} is not from the {bound.source}"
            elif allowed is not None:
                given = (getattr(allowed, "min", None), allowed.max)
                if (bound.min, bound.max) != given:
                    yield f"{name} is not bounded as asked"
        names = dict(stated.ranges()) if stated is not None else {}
        if not names.keys() <= self.outcome.window.keys():
            yield "a bound of the window is not shown"

    def _faults_without_answer(self) -> Iterator[str]:
        outcome = self.outcome
        if outcome.outcome not in {"infeasible", "unfinished"}:
            yield f"{outcome.outcome} has no cost"
        if outcome.ratios.after is not None or any(line.after for line in outcome.lines):
            yield "something is shown after, and nothing was found"


def _within(value: Fraction | None, least: Fraction | None, most: Fraction | None) -> bool:
    if least is None and most is None:
        return True
    if value is None:
        return False
    return (least is None or value >= least) and (most is None or value <= most)
