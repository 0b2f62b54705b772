"""Levers: what each change made alone does to the chance of a crack, and how thin is thin enough.

The changes are the ones a baker tries first, each in a usual size, whole lines of the recipe at a
time; measurable amounts and combinations are the business of the program.
"""

from bisect import bisect_left
from collections.abc import Iterator
from fractions import Fraction

from models.chance import Lever, Sensitivity
from models.form_window import CRACK_CHANCE_PERCENT
from models.formula import Formula
from models.ingredient import Role
from models.target import LEAST_THICKNESS_MM, Target
from solver.mechanics.belief import Draws
from solver.mechanics.chance import chance_percents, crack_chance, crack_percent, law_by
from solver.mechanics.dough import substances_of

STEPS_IN_MM = 10
THINNER_MM = 1.0

_AMOUNTS: tuple[tuple[str, str, frozenset[Role], Fraction], ...] = (
    ("less_leavening", "a quarter less leavening", frozenset({"leavener"}), Fraction(3, 4)),
    ("more_flour", "a tenth more flour", frozenset({"flour"}), Fraction(11, 10)),
    ("less_fat", "a tenth less fat", frozenset({"fat"}), Fraction(9, 10)),
    ("less_sugar", "a tenth less sugar and syrup", frozenset({"sugar", "syrup"}), Fraction(9, 10)),
    ("less_liquid", "a tenth less liquid", frozenset({"liquid"}), Fraction(9, 10)),
)


def sensitivity(
    formula: Formula,
    target: Target,
    at_most_percent: float = CRACK_CHANCE_PERCENT,
    draws: Draws | None = None,
) -> Sensitivity:
    """Return what the demand is made of and what each lever does, most helpful first."""
    now = crack_chance(formula, target, draws)
    tried = (
        (code, change, crack_percent(dough, aim, draws))
        for code, change, dough, aim in _changes(formula, target)
    )
    levers = [
        Lever(code=code, change=change, percent=percent, points_gained=now.percent - percent)
        for code, change, percent in tried
    ]
    return Sensitivity(
        chance=now,
        levers=tuple(sorted(levers, key=lambda lever: -lever.points_gained)),
        at_most_percent=at_most_percent,
        thickness_needed_mm=thickness_needed(formula, target, at_most_percent, draws),
    )


def thickness_needed(
    formula: Formula,
    target: Target,
    at_most_percent: float = CRACK_CHANCE_PERCENT,
    draws: Draws | None = None,
) -> float | None:
    """Return the thickest sheet, to 0.1 mm, that keeps the chance within `at_most_percent` alone.

    None where no sheet that can be estimated does. A thicker sheet always cracks sooner.
    """
    substances = substances_of(formula)
    tenths = range(
        round(LEAST_THICKNESS_MM * STEPS_IN_MM), int(target.most_thickness_mm * STEPS_IN_MM) + 1
    )

    def cracks(tenth: int) -> bool:
        sheet = target.model_copy(update={"thickness_mm": tenth / STEPS_IN_MM})
        return bool(chance_percents(law_by(sheet, draws), substances)[0] > at_most_percent)

    safe = bisect_left(tenths, True, key=cracks)
    return tenths[safe - 1] / STEPS_IN_MM if safe else None


def _changes(formula: Formula, target: Target) -> Iterator[tuple[str, str, Formula, Target]]:
    if target.thickness_mm - THINNER_MM >= LEAST_THICKNESS_MM:
        thinner = target.model_copy(update={"thickness_mm": target.thickness_mm - THINNER_MM})
        yield "thinner", "1 mm thinner", formula, thinner
    if not target.chilled:
        yield (
            "chilled",
            "chilled before it bakes",
            formula,
            target.model_copy(update={"chilled": True}),
        )
    for code, change, roles, factor in _AMOUNTS:
        if any(line.role in roles and line.grams for line in formula.lines):
            yield code, change, _scaled(formula, roles, factor), target


def _scaled(formula: Formula, roles: frozenset[Role], factor: Fraction) -> Formula:
    return formula.with_amounts(
        line.amount.times(factor) if line.role in roles else line.amount for line in formula.lines
    )
