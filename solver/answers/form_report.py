"""What a form asks of a dough, before and after, and where each ratio alone leaves it safe."""

from collections.abc import Callable
from decimal import ROUND_CEILING, ROUND_FLOOR, Context
from fractions import Fraction

from models.brief import Bounded
from models.formula import Formula
from models.ingredient import Role
from models.measures import Part
from models.outcome import FormReport
from models.pantry import pantry
from models.ratios import RatioName, ratio_of
from models.target import Target
from models.window import Range
from solver.mechanics.chance import crack_chance, crack_percent
from solver.mechanics.dough import LIMITS_OF_THE_MODEL
from solver.mechanics.levers import thickness_needed

STEPS = tuple(Fraction(step, 50) for step in range(101))
"""From none of a lever to twice as much of it as there is, in fiftieths."""

HALVINGS = 20
"""Enough to place the edge of a range to a millionth of a step."""


def form_report(brief: Bounded, before: Formula, after: Formula | None) -> FormReport | None:
    """Return what the brief's form asks of the dough, or None without a form."""
    target, at_most = brief.target, brief.chance_limit_percent
    if target is None:
        return None
    return FormReport(
        before=crack_chance(before, target),
        after=crack_chance(after, target) if after else None,
        ranges=_ranges(after or before, target, at_most),
        thickness_needed_mm=thickness_needed(before, target, at_most),
        limits_of_the_model=LIMITS_OF_THE_MODEL,
    )


Lever = Callable[[Formula, Fraction], Formula]
"""The dough with a multiple of one thing in it, all else as it is."""


def _times(*roles: Role) -> Lever:
    def scaled(formula: Formula, factor: Fraction) -> Formula:
        return formula.with_amounts(
            line.amount.times(factor) if line.role in roles else line.amount
            for line in formula.lines
        )

    return scaled


def _water(formula: Formula, factor: Fraction) -> Formula:
    """Return the dough with `factor` times the water that it has besides its flour's."""
    water = pantry().find("water")
    assert water is not None, "the table has water"
    line = formula.lines[0]
    more = Part(water, (factor - 1) * formula.masses.water / water.water_share)
    amounts = [line.amount.and_part(more), *(other.amount for other in formula.lines[1:])]
    return formula.with_amounts(amounts)


LEVERS: dict[RatioName, Lever] = {
    "flour_to_fat": _times("flour"),
    "soda_equivalent_percent": _times("leavener"),
    "moisture_percent": _water,
}


def _ranges(formula: Formula, target: Target, at_most: float) -> dict[RatioName, Range]:
    ranges = {}
    for ratio, lever in LEVERS.items():
        found = _range(formula, target, at_most, ratio, lever)
        if found is not None:
            ranges[ratio] = found
    return ranges


def _range(
    formula: Formula, target: Target, at_most: float, ratio: RatioName, lever: Lever
) -> Range | None:
    """Return where the ratio may lie, found from the step nearest to the dough as it is."""

    def safe(factor: Fraction) -> bool:
        changed = lever(formula, factor)
        return bool(changed.flour_grams) and crack_percent(changed, target) <= at_most

    inside = sorted((s for s in STEPS if safe(s)), key=lambda s: abs(s - 1))
    if not inside or ratio_of(ratio, formula.masses) is None:
        return None
    low, high = _edge(safe, inside[0], -1), _edge(safe, inside[0], 1)
    least = ratio_of(ratio, lever(formula, low).masses) if low else Fraction(0)
    most = ratio_of(ratio, lever(formula, high).masses)
    return Range(
        min=_shown(least, ROUND_CEILING) if least else None,
        max=None if high >= STEPS[-1] or most is None else _shown(most, ROUND_FLOOR),
    )


def _shown(ratio: Fraction, rounding: str) -> float:
    """Return an edge as far as it is known on every machine, moved into the range if at all."""
    return float(Context(prec=5, rounding=rounding).create_decimal(float(ratio)))


def _edge(safe: Callable[[Fraction], bool], inside: Fraction, direction: int) -> Fraction:
    """Return the last safe multiple from `inside` on in one direction."""
    step = STEPS[1] * direction
    last = inside
    while STEPS[0] <= last + step <= STEPS[-1] and safe(last + step):
        last += step
    if not STEPS[0] <= last + step <= STEPS[-1]:
        return last
    beyond = last + step
    for _ in range(HALVINGS):
        middle = (last + beyond) / 2
        if safe(middle):
            last = middle
        else:
            beyond = middle
    return last
