"""The base of every value that crosses the wire: frozen, strict, finite, closed to strangers."""

from typing import Annotated

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    PlainSerializer,
    StringConstraints,
)


class Value(BaseModel):
    """Refuse unknown members, NaN, infinities and numbers written as text; stay as made."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


Name = Annotated[str, StringConstraints(min_length=1, max_length=200)]
"""A name of an ingredient as a person writes it."""

LEAST_QUANTITY = 1e-6


def _can_be_measured(quantity: float) -> float:
    if 0 < quantity < LEAST_QUANTITY:
        raise ValueError("is less than any kitchen measures; give 0, or a millionth at the least")
    return quantity


Quantity = Annotated[float, Field(ge=0, le=1_000_000), AfterValidator(_can_be_measured)]
"""An amount in the unit beside it; a million of any unit is more than any kitchen weighs out."""

Percent = Annotated[float, Field(ge=0, le=100)]
"""A share of the whole, 0 to 100."""


def three_figures(number: float) -> float:
    """Return `number` to three significant figures."""
    return float(f"{number:.2e}")


_SHOWN = PlainSerializer(three_figures, when_used="json")

Estimate = Annotated[float, _SHOWN]
"""A number that is estimated and not weighed: it goes out with three significant figures.

Its further digits mean nothing, and the last of them differ between processors.
"""

EstimatedPercent = Annotated[Percent, _SHOWN]
"""An estimated share of the whole, 0 to 100."""
