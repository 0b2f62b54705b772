"""The window that a form implies: how likely a crack may be, and a dough that still rolls.

The chance itself is estimated by the solver; which ratios it leaves room for depends on the dough.
"""

from fractions import Fraction

from models.exact import float_not_above, float_not_below
from models.formula import Formula
from models.ratios import RatioName, ratio_of
from models.window import CrackRange, Range, Window

CRACK_CHANCE_PERCENT = 20.0
"""One cracked piece in five: common practice, no source."""

ROLLS_WITHIN = Fraction(15, 100)
"""A dough that rolls today still rolls within 15 % of its liquid, and of its liquid and fat, to the
flour; drier it crumbles, wetter it sticks. Common practice, no source."""


def form_window(formula: Formula, *, limits_chance: bool) -> Window:
    """Return the bounds that hold on a form where the caller states none.

    The chance is among them where `limits_chance`: whoever bounds a ratio has said what the dough
    is to be, and is told the chance without being held to it.
    """
    return Window(
        crack_chance_percent=CrackRange(max=CRACK_CHANCE_PERCENT) if limits_chance else None,
        liquid_per_flour=_about("liquid_per_flour", formula),
        wet_per_flour=_about("wet_per_flour", formula),
    )


def _about(ratio: RatioName, formula: Formula) -> Range | None:
    now = ratio_of(ratio, formula.masses)
    if not now:
        return None
    return Range(
        min=float_not_above(now * (1 - ROLLS_WITHIN)), max=float_not_below(now * (1 + ROLLS_WITHIN))
    )
