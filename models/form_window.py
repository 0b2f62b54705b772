"""The window that a form implies: how likely a crack may be, and a dough that still rolls.

The chance itself is estimated by the solver; which ratios it leaves room for depends on the dough.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

from models.exact import exact, float_not_above, float_not_below
from models.formula import Formula
from models.learning import Handled
from models.ratios import ratio_of
from models.window import MOST_BOUND, CrackRange, Range, Window

CRACK_CHANCE_PERCENT = 20.0
"""One cracked piece in five: common practice, no source."""

ROLLS_WITHIN = Fraction(15, 100)
"""A dough that rolls today still rolls within 15 % of its liquid, and of its liquid and fat, to the
flour; drier it crumbles, wetter it sticks. Common practice, no source."""


AKIN_WITHIN = Fraction(40, 100)
"""A dough farther from this one is another dough, and tells nothing of how this one is shaped.
Judgement."""
SHAPED_WELL = 1
"""The worst grade of handling with which a dough is still shaped: small tears, mended by hand."""


def form_window(
    formula: Formula, *, limits_chance: bool, handled: Sequence[Handled] = ()
) -> Window:
    """Return the bounds that hold on a form where the caller states none.

    How doughs were `handled` in a kitchen moves what still rolls there: out to where one was shaped
    well, in to halfway before one that was not.

    The chance is among them where `limits_chance`: whoever bounds a ratio has said what the dough
    is to be, and is told the chance without being held to it.
    """
    return Window(
        crack_chance_percent=CrackRange(max=CRACK_CHANCE_PERCENT) if limits_chance else None,
        liquid_per_flour=_about("liquid_per_flour", formula, handled),
        wet_per_flour=_about("wet_per_flour", formula, handled),
    )


def _about(
    ratio: Literal["liquid_per_flour", "wet_per_flour"],
    formula: Formula,
    handled: Sequence[Handled],
) -> Range | None:
    now = ratio_of(ratio, formula.masses)
    if not now:
        return None
    tried = [(exact(getattr(dough, ratio)), dough.grade <= SHAPED_WELL) for dough in handled]
    akin = [(value, well) for value, well in tried if abs(value - now) <= AKIN_WITHIN * now]
    below = _reach(now, now * (1 - ROLLS_WITHIN), akin, -1)
    above = _reach(now, now * (1 + ROLLS_WITHIN), akin, 1)
    if above > MOST_BOUND:
        return None  # hardly any flour: no dough that rolls, whatever is held
    return Range(min=float_not_above(below), max=float_not_below(above))


def _reach(
    now: Fraction, usual: Fraction, tried: Sequence[tuple[Fraction, bool]], side: int
) -> Fraction:
    """Return how far from `now` a dough still rolls on one side."""
    ahead = [(side * (value - now), well) for value, well in tried if side * (value - now) > 0]
    refused = min((far for far, well in ahead if not well), default=None)
    shaped = [far for far, well in ahead if well and (refused is None or far < refused)]
    reach = max([abs(usual - now), *shaped])
    if refused is not None:
        reach = min(reach, (max(shaped, default=Fraction(0)) + refused) / 2)
    return now + side * reach
