"""A window: where ratios must land. Bounds are inclusive; one that is left out does not bind."""

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field, model_validator

from models.ratios import RATIOS, RatioName
from models.value import Value

MOST_BOUND = 1_000_000
BoundValue = Annotated[float, Field(ge=0, le=MOST_BOUND)]


class Range(Value):
    """The least and the most a ratio may be."""

    min: BoundValue | None = None
    max: BoundValue | None = None

    @model_validator(mode="after")
    def _in_order(self) -> "Range":
        if self.min is not None and self.max is not None and self.min > self.max:
            raise ValueError(f"min {self.min:g} is above max {self.max:g}; swap or change them")
        return self


LEAST_CHANCE_PERCENT, MOST_CHANCE_PERCENT = 0.1, 99.9


class RatioBounds(Value):
    """A range for any of the ratios of `models.ratios`."""

    flour_to_fat: Range | None = None
    soda_equivalent_percent: Range | None = None
    moisture_percent: Range | None = None
    liquid_per_flour: Range | None = None
    wet_per_flour: Range | None = None
    sugar_percent: Range | None = None
    egg_percent: Range | None = None

    def ranges(self) -> Iterator[tuple[RatioName, Range]]:
        """Yield each ratio that has a range, in the order of the definitions."""
        for name in RATIOS:
            bounds = getattr(self, name)
            if bounds is not None:
                yield name, bounds


class CrackRange(Value):
    """The most that the chance of a crack may be; the estimate is never quite 0 or 100."""

    max: Annotated[float, Field(ge=LEAST_CHANCE_PERCENT, le=MOST_CHANCE_PERCENT)]


class Window(RatioBounds):
    """Where a dough holds its shape: its ratios, and on a form the chance that it cracks."""

    crack_chance_percent: CrackRange | None = None
