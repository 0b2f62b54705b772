"""Whether a dough can still be shaped, asked anew of what its kitchen has told.

Nothing here looks at how the window of a form was drawn (`models.form_window`).
"""

from fractions import Fraction
from typing import Literal

from models.exact import exact
from models.learning import Taught

HandlingRatio = Literal["liquid_per_flour", "wet_per_flour"]
RATIOS_OF_HANDLING: tuple[HandlingRatio, ...] = ("liquid_per_flour", "wet_per_flour")
SAME_DOUGH, USUAL = Fraction(2, 5), Fraction(15, 100)


def still_rolls(
    name: HandlingRatio, after: Fraction, before: Fraction, taught: Taught | None, slack: Fraction
) -> bool:
    """Tell whether a ratio moved no farther than is usual, or than this kitchen has shaped well,
    and stopped halfway short of what it could not shape."""
    up = after >= before
    far = abs(after - before)
    good: list[Fraction] = [Fraction(0)]
    bad: list[Fraction] = []
    for dough in taught.handled if taught else ():
        away = exact(getattr(dough, name)) - before
        if away and (away > 0) == up and abs(away) <= SAME_DOUGH * before:
            (good if dough.grade < 2 else bad).append(abs(away))
    reached = max(one for one in good if not bad or one < min(bad))
    most = max(USUAL * before, reached)
    if bad:
        most = min(most, (reached + min(bad)) / 2)
    return far <= most + slack * before
