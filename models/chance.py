"""How likely a piece is to crack on its form: the estimate, what it is made of, and what helps.

These are the answers; the mechanics behind them are `solver.mechanics.sheet`, what a formula
contributes is `solver.mechanics.dough`, and the estimate itself is made by
`solver.mechanics.chance` and `solver.mechanics.levers`.
"""

from models.value import Estimate, EstimatedPercent, Percent, Value

EVENT = "a crack that shows (grade 2 or more) on one piece"
"""What the chance is a chance of."""

HARDLY_KNOWN_POINTS = 60.0
"""A range wider than this says next to nothing."""


class Spread(Value):
    """An estimate, and the range that holds it in four kitchens of five."""

    value: Estimate
    low: Estimate
    high: Estimate


class Demand(Value):
    """What a form asks of the outer face of a sheet: strains that add up; 0.1 is a tenth longer.

    By the mean belief; the chance is not taken from it alone.
    """

    bend: Estimate
    rise: Estimate
    flow: Estimate
    total: Estimate


class CrackChance(Value):
    """The chance that a piece cracks, with the range that an untried kitchen leaves open.

    `grades_percent` are the chances of damage of grade 1 or more, 2 or more, 3 or more and 4: from
    a hairline to a piece that fell apart; the second is the chance. `growth_mm` is how much a flat
    piece grows across: the form itself where it is flat, else a 60 mm round of the same sheet.
    `crack_strain` is what the dough bears, by the mean belief.
    """

    chance_percent: Spread
    growth_mm: Spread
    grades_percent: tuple[EstimatedPercent, EstimatedPercent, EstimatedPercent, EstimatedPercent]
    demand: Demand
    crack_strain: Estimate

    @property
    def percent(self) -> float:
        """The chance of a crack that shows."""
        return self.chance_percent.value

    @property
    def low_percent(self) -> float:
        """The lower end of the range of the chance."""
        return self.chance_percent.low

    @property
    def high_percent(self) -> float:
        """The upper end of the range of the chance."""
        return self.chance_percent.high

    @property
    def hardly_known(self) -> bool:
        """Whether the range says next to nothing."""
        return self.high_percent - self.low_percent > HARDLY_KNOWN_POINTS

    @property
    def words(self) -> str:
        """The chance as people say it: "about 2 in 10"."""
        return chance_words(self.percent)


def chance_words(percent: float) -> str:
    """Return a chance as people say it; never as certain, either way."""
    tenths = round(percent / 10)
    if percent < 2:
        return "fewer than 1 in 50"
    if tenths == 0:
        return "about 1 in 20" if percent >= 3.5 else "about 1 in 30"
    if percent > 98:
        return "nearly all"
    if tenths == 10:
        return "more than 9 in 10"
    return f"about {tenths} in 10"


def chance_figure(percent: float) -> str:
    """Return a chance as a figure that claims no certainty: "34 %", "under 1 %", "over 99 %"."""
    if percent < 1:
        return "under 1 %"
    return "over 99 %" if percent > 99 else f"{percent:.0f} %"


def range_figure(low: float, high: float) -> str:
    """Return the ends of a chance's range [%], none of them certain: "2 to 99 %"."""
    return f"{max(1.0, low):.0f} to {min(99.0, high):.0f} %"


class Lever(Value):
    """One change made alone: the chance it leads to, and the points it takes off (or puts on)."""

    code: str
    change: str
    percent: EstimatedPercent
    points_gained: Estimate


class Sensitivity(Value):
    """What the demand is made of, and what each change would do, the one that pays most first.

    `thickness_needed_mm` is the thickest sheet, to a tenth of a millimetre, that keeps the chance
    within `at_most_percent` with nothing else changed; null where no sheet that can be estimated
    does.
    """

    chance: CrackChance
    levers: tuple[Lever, ...]
    at_most_percent: Percent
    thickness_needed_mm: Estimate | None
