"""A round test: one flat round of a dough as it is written, baked and measured.

What it tells of the dough is worked out by `solver.mechanics.round_test`.
"""

from typing import Annotated

from pydantic import Field

from models.dimension import Between, LengthMm
from models.target import LEAST_THICKNESS_MM, MOST_THICKNESS_MM
from models.value import Value

MOST_GROWTH_MM = 200.0


class RoundTest(Value):
    """How much a round grew in diameter as it baked, and how it was rolled, cut and rested."""

    diameter_mm: Annotated[LengthMm, Between(20, 300, "mm")] = 60.0
    thickness_mm: Annotated[LengthMm, Between(LEAST_THICKNESS_MM, MOST_THICKNESS_MM, "mm")]
    grew_mm: Annotated[float, Field(ge=0, le=MOST_GROWTH_MM)]
    chilled: bool = False
