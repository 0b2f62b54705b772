"""What a change costs: the harm to texture by weight, and the trouble of measuring it.

    cost = Σ over moved lines  weight × |grams − grams before| / grams before
                               + 0.05 + 0.004 × fillings + 0.15 where the line goes to nothing
         + the sheet           0.02 + 0.1 × (1 − t / t planned) + 0.2 for each mm below 3,
                               0.02 for chilling

Weights by role are the caller's (`models.brief`). Every figure is judgement, ordered as the trade
orders harm: common practice, no source. The re-check sums the same by itself.
"""

from fractions import Fraction

MOVED_LINE_COST = Fraction(1, 20)
FILLING_COST = Fraction(1, 250)
LEFT_OUT_COST = Fraction(3, 20)
"""A leavener gone altogether changes colour and crumb."""

FURTHER_UNIT_FILLINGS = 5
"""In cups and spoons each unit after the first counts as so many fillings more: another spoon to
find, to level and to wash."""

ADDED_UNIT_SHARE = Fraction(1, 20)
"""A line added from zero counts as a whole change at a twentieth of the flour."""

ROLLING_COST = Fraction(1, 50)
THINNING_COST = Fraction(1, 10)
THIN_SHEET_MM = Fraction(3)
THIN_SHEET_COST = Fraction(1, 5)
"""For each millimetre below: thin sheets tear when they are lifted and break when they stand."""
CHILLING_COST = Fraction(1, 50)


def move_cost(
    weight: Fraction, change: Fraction, counts: int, *, left_out: bool = False
) -> Fraction:
    """Return what moving a line costs; `counts` is what its fillings count."""
    gone = LEFT_OUT_COST if left_out else Fraction(0)
    return weight * change + MOVED_LINE_COST + FILLING_COST * counts + gone


def sheet_cost(planned_mm: Fraction, rolled_mm: Fraction, *, newly_chilled: bool) -> Fraction:
    """Return what rolling a sheet thinner than planned costs, and chilling it."""
    cost = CHILLING_COST if newly_chilled else Fraction(0)
    if rolled_mm != planned_mm:
        below = max(Fraction(0), THIN_SHEET_MM - rolled_mm)
        cost += ROLLING_COST + THINNING_COST * (1 - rolled_mm / planned_mm)
        cost += THIN_SHEET_COST * below
    return cost
