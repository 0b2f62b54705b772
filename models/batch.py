"""A batch of another size: by factor, by its dough or its flour, or by the pieces cut from it."""

import math
from fractions import Fraction
from typing import Annotated

from pydantic import Field, model_validator

from models.errors import refusal
from models.exact import exact
from models.formula import Formula
from models.target import Target
from models.template import TRIMMINGS_PERCENT, pieces_grams
from models.value import Percent, Value

Factor = Annotated[float, Field(gt=0, le=1000)]
BatchGrams = Annotated[float, Field(gt=0, le=1_000_000)]
Pieces = Annotated[int, Field(ge=1, le=10_000)]

_WAYS = ("factor", "dough_grams", "flour_grams", "pieces")


class Batch(Value):
    """How large the batch is to be, said in one way.

    `pieces` needs a target; the dough is rounded up to whole eggs, and `trimmings_percent` of it
    is allowed for trimming and re-rolling (15 unless told).
    """

    factor: Factor | None = None
    dough_grams: BatchGrams | None = None
    flour_grams: BatchGrams | None = None
    pieces: Pieces | None = None
    trimmings_percent: Percent | None = None

    @model_validator(mode="after")
    def _one_way(self) -> "Batch":
        if sum(getattr(self, way) is not None for way in _WAYS) != 1:
            raise ValueError(f"give exactly one of {', '.join(_WAYS)}")
        if self.trimmings_percent is not None and self.pieces is None:
            raise refusal([(("trimmings_percent",), "goes with pieces; leave it out otherwise")])
        return self

    def factor_for(self, formula: Formula, target: Target | None) -> Fraction:
        """Return what every line of `formula` is multiplied by."""
        if self.factor is not None:
            return exact(self.factor)
        if self.flour_grams is not None:
            return exact(self.flour_grams) / formula.flour_grams
        if self.dough_grams is not None:
            return exact(self.dough_grams) / formula.total_grams
        assert self.pieces is not None and target is not None, "checked with the brief"
        trimmings = TRIMMINGS_PERCENT if self.trimmings_percent is None else self.trimmings_percent
        dough = exact(pieces_grams(target, self.pieces, trimmings))
        return _whole_eggs(dough / formula.total_grams, formula)


def _whole_eggs(factor: Fraction, formula: Formula) -> Fraction:
    """Return the least factor, not below `factor`, at which every egg line is whole eggs.

    Every line's count times the factor is whole where the factor is a multiple of 1 / gcd(counts).
    """
    counts = [
        line.grams / exact(line.ingredient.grams_per_unit)
        for line in formula.lines
        if line.role == "egg" and line.ingredient.grams_per_unit and line.grams
    ]
    if not counts:
        return factor
    common = math.lcm(*(count.denominator for count in counts))
    step = Fraction(common, math.gcd(*(int(count * common) for count in counts)))
    return math.ceil(factor / step) * step
