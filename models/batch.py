"""A batch of another size: by factor, by its dough or its flour, or by the pieces cut from it."""

import math
from decimal import ROUND_CEILING, Context
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

    `pieces` needs a target; the dough as changed is enough for them, rounded up to whole eggs, and
    `trimmings_percent` of it is allowed for trimming and re-rolling (15 unless told).
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
        return factor_from(self.needed_grams(target) / formula.total_grams, formula)

    @property
    def trimmings(self) -> float:
        """What is rolled beyond the pieces, in per cent of their weight."""
        return TRIMMINGS_PERCENT if self.trimmings_percent is None else self.trimmings_percent

    def needed_grams(self, target: Target) -> Fraction:
        """Return the dough that the pieces take from this sheet."""
        assert self.pieces is not None, "asked of a batch of pieces"
        return exact(pieces_grams(target, self.pieces, self.trimmings))


def factor_from(least: Fraction, formula: Formula) -> Fraction:
    """Return the first factor from `least` on at which eggs are whole, or it is short to write."""
    step = egg_step(formula)
    if step is not None:
        return math.ceil(least / step) * step
    return exact(float(_SHORT.create_decimal(float(least))))


_SHORT = Context(prec=4, rounding=ROUND_CEILING)


def egg_step(formula: Formula) -> Fraction | None:
    """Return the least factor at which every egg line is whole eggs; None without eggs.

    Every line's count times the factor is whole where the factor is a multiple of 1 / gcd(counts).
    """
    counts = [
        line.grams / exact(line.ingredient.grams_per_unit)
        for line in formula.lines
        if line.role == "egg" and line.ingredient.grams_per_unit and line.grams
    ]
    if not counts:
        return None
    common = math.lcm(*(count.denominator for count in counts))
    return Fraction(common, math.gcd(*(int(count * common) for count in counts)))
