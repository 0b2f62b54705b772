"""Ink and paper: the colours, lettering and hatching that every drawing shares.

Tone carries the meaning and colour only warms it, so a copy without colour says the same.
"""

from xml.etree.ElementTree import Element

from service.drawings.svg import shape

PAPER = "#fbf7ee"
INK = "#2b2521"
QUIET_INK = "#6a6058"
RULE = "#d8cebe"
STONE = "#e9e1d4"
"""What a form is filled with, under its hatching."""

DOUGH = "#cf9354"
BRICK = "#96371c"
"""The one accent, as dark as ink without colour."""

PLAIN = "system-ui, sans-serif"
BOOKISH = "Georgia, ui-serif, serif"

HATCHED = "url(#formhold-hatched)"
STONY = "url(#formhold-stony)"
"""Fills that a drawing may use once it holds `hatchings`."""


def hatchings() -> Element:
    """Return the definitions of the hatched fills; the same in every drawing, so they may meet."""
    return shape("defs", _hatching("hatched", 4, 1.4, INK), _hatching("stony", 9, 0.7, QUIET_INK))


def _hatching(name: str, apart: float, weight: float, stroke: str) -> Element:
    line = shape("path", d=f"M0 0 V{apart}", stroke=stroke, stroke_width=weight)
    return shape(
        "pattern",
        line,
        id=f"formhold-{name}",
        width=apart,
        height=apart,
        patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )
