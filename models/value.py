"""The base of every value that crosses the wire: frozen, strict, finite, closed to strangers."""

import re
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


_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


def _legible(words: str) -> str:
    found = _CONTROL.search(words)
    if found:
        code = f"U+{ord(found[0]):04X}"
        raise ValueError(f"holds a control character ({code}) that nobody can read; leave it out")
    return words


Legible = Annotated[str, AfterValidator(_legible)]
"""A text without control characters but tabs and new lines."""

Name = Annotated[Legible, StringConstraints(min_length=1, max_length=200)]
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
