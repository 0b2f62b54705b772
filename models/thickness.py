"""Thicknesses that a sheet can be set to, with guides that people own, and what they are called.

Guides come in millimetres or in fractions of an inch; a sheet stays in the system it is given in.
"""

from fractions import Fraction

from models.exact import exact

MM_PER_INCH = Fraction("25.4")  # the international inch, exact

GUIDES_MM = tuple(Fraction(mm) for mm in ("1.5", "2", "2.5", "3", "3.5", "4", "5", "6", "8", "10"))
GUIDES_INCH = tuple(
    Fraction(inch) for inch in ("1/16", "3/32", "1/8", "5/32", "3/16", "7/32", "1/4", "5/16", "3/8")
)

SAME_MARK_MM = Fraction(1, 100)
"""A thickness within a hundredth of a mark is meant to be it: 4.76 mm is 3/16 in."""


def inches_of(thickness_mm: float) -> Fraction | None:
    """Return the inches that a thickness is meant as, or None where it is millimetres."""
    given = exact(thickness_mm)
    if given in GUIDES_MM:
        return None
    near = (inch for inch in GUIDES_INCH if abs(inch * MM_PER_INCH - given) < SAME_MARK_MM)
    return next(near, None)


def thinner_guides(thickness_mm: float, down_to_mm: float) -> tuple[Fraction, ...]:
    """Return the settable thicknesses [mm] below a sheet's, thickest first, down to a least."""
    inches = inches_of(thickness_mm)
    guides = GUIDES_MM if inches is None else tuple(i * MM_PER_INCH for i in GUIDES_INCH)
    least = exact(down_to_mm) - SAME_MARK_MM
    below = exact(thickness_mm) - SAME_MARK_MM
    return tuple(sorted((g for g in guides if least <= g < below), reverse=True))


def thickness_words(thickness_mm: float) -> str:
    """Return a thickness as a baker sets it: "3/16 in", "4 mm"."""
    inches = inches_of(thickness_mm)
    return f"{thickness_mm:.4g} mm" if inches is None else f"{inches} in"
