"""How likely a piece is to crack on its form: the estimate, what it is made of, and what helps.

These are the answers; the mechanics behind them are `solver.sheet`, what a formula contributes is
`solver.dough`, and the estimate itself is made by `solver.chance` and `solver.levers`.
"""

from models.value import Percent, Value


class Demand(Value):
    """What a form asks of the outer face of a sheet: strains that add up; 0.1 is a tenth longer."""

    wrapping: float
    rise: float
    flow: float
    total: float


class CrackChance(Value):
    """The chance that a piece cracks, with the range that an untried kitchen leaves open.

    `low_percent` to `high_percent` holds the chance of four kitchens in five. `grades_percent` are
    the chances of damage of grade 1 or more, 2 or more, 3 or more and 4: from a fine crack to a
    piece that fell apart; the first is `percent`. `slip_stress_pa` is how hard the weight of the
    sheet shears its seat; nothing is known of how much of that a seat holds.
    """

    percent: Percent
    low_percent: Percent
    high_percent: Percent
    grades_percent: tuple[Percent, Percent, Percent, Percent]
    demand: Demand
    crack_strain: float
    slip_stress_pa: float


class Lever(Value):
    """One change made alone: the chance it leads to, and the points it takes off (or puts on)."""

    code: str
    change: str
    percent: Percent
    points_gained: float


class Sensitivity(Value):
    """What the demand is made of, and what each change would do, the one that pays most first.

    `thickness_needed_mm` is the thickest sheet, to a tenth of a millimetre, that keeps the chance
    within `at_most_percent` with nothing else changed; null where no sheet of 1 mm or more does.
    """

    chance: CrackChance
    levers: tuple[Lever, ...]
    at_most_percent: Percent
    thickness_needed_mm: float | None
