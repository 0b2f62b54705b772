"""Which limits amounts keep, judged exactly and without the program: one judge for everyone."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from models.exact import exact
from models.formula import Formula, FormulaLine
from models.limits import ChangeLimit, CrackLimit, Limit, RatioLimit
from models.measures import Amount
from models.ratios import Masses, ratio_of
from solver.mechanics.belief import Draws
from solver.mechanics.chance import crack_percent


@dataclass(frozen=True)
class WeighedDough:
    """Amounts of every line, with what is measured of them."""

    amounts: tuple[Amount, ...]
    powder_strength: float
    draws: Draws | None = None
    """What is believed of the dough where a round of it was measured."""

    @cached_property
    def formula(self) -> Formula:
        """The dough of these amounts."""
        lines = (FormulaLine(amount.parts[0].ingredient, amount) for amount in self.amounts)
        return Formula(tuple(lines), self.powder_strength)

    @property
    def masses(self) -> Masses:
        """The sums that the ratios are made of."""
        return self.formula.masses

    def measured(self, limit: RatioLimit | CrackLimit) -> Fraction | None:
        """Return what `limit` bounds; None for a ratio with nothing to divide by."""
        if isinstance(limit, RatioLimit):
            return ratio_of(limit.ratio, self.masses)
        return exact(crack_percent(self.formula, limit.target, self.draws))

    def keeps(self, limit: Limit) -> bool:
        """Tell whether a ratio or crack limit holds; limits on change are kept by the options."""
        if isinstance(limit, ChangeLimit):
            return True
        if isinstance(limit, RatioLimit):
            return limit.holds(self.masses)
        return exact(crack_percent(self.formula, limit.target, self.draws)) <= limit.percent

    def keeps_all(self, limits: Sequence[Limit]) -> bool:
        """Tell whether every limit holds and there is flour at all."""
        return self.masses.flour > 0 and all(self.keeps(limit) for limit in limits)
