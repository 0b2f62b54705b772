"""How likely a piece is to crack on its form: the estimate, what it is made of, and what helps.

These are the answers; the mechanics behind them are `solver.mechanics.sheet`, what a formula
contributes is `solver.mechanics.dough`, and the estimate itself is made by
`solver.mechanics.chance` and `solver.mechanics.levers`.
"""

from models.value import Estimate, EstimatedPercent, Percent, Value


class Demand(Value):
    """What a form asks of the outer face of a sheet: strains that add up; 0.1 is a tenth longer."""

    wrapping: Estimate
    rise: Estimate
    flow: Estimate
    total: Estimate


class CrackChance(Value):
    """The chance that a piece cracks, with the range that an untried kitchen leaves open.

    `low_percent` to `high_percent` holds the chance of four kitchens in five. `grades_percent` are
    the chances of damage of grade 1 or more, 2 or more, 3 or more and 4: from a fine crack to a
    piece that fell apart; the first is `percent`. `slip_stress_pa` is how hard the weight of the
    sheet shears its seat; nothing is known of how much of that a seat holds.
    """

    percent: EstimatedPercent
    low_percent: EstimatedPercent
    high_percent: EstimatedPercent
    grades_percent: tuple[EstimatedPercent, EstimatedPercent, EstimatedPercent, EstimatedPercent]
    demand: Demand
    crack_strain: Estimate
    slip_stress_pa: Estimate


class Lever(Value):
    """One change made alone: the chance it leads to, and the points it takes off (or puts on)."""

    code: str
    change: str
    percent: EstimatedPercent
    points_gained: Estimate


class Sensitivity(Value):
    """What the demand is made of, and what each change would do, the one that pays most first.

    `thickness_needed_mm` is the thickest sheet, to a tenth of a millimetre, that keeps the chance
    within `at_most_percent` with nothing else changed; null where no sheet of 1 mm or more does.
    """

    chance: CrackChance
    levers: tuple[Lever, ...]
    at_most_percent: Percent
    thickness_needed_mm: Estimate | None
