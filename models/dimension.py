"""Dimensions: lengths and angles as a request states them, each within the range that makes sense.

A length is a number of millimetres, or words with a unit as a ruler reads ("3/16 in", "8 cm").
Which dimensions a form has is `models.form`; amounts of ingredients are `models.measures`.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from models.reading.numerals import read_numeral
from models.reading.tokens import TokenLine

_MM_PER_INCH = Fraction("25.4")  # the international inch, exact
_MM_PER = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": _MM_PER_INCH,
    "inch": _MM_PER_INCH,
    "inches": _MM_PER_INCH,
    '"': _MM_PER_INCH,
    "″": _MM_PER_INCH,
    "”": _MM_PER_INCH,
}
_MOST_CHARACTERS = 40  # more than any length needs


def read_length_mm(length: object) -> object:
    """Return the millimetres that words such as "1 1/2 in" stand for; pass on what is no text.

    Raises ValueError for words that are no one length.
    """
    if not isinstance(length, str):
        return length
    seen = length if len(length) <= _MOST_CHARACTERS else f"{length[:_MOST_CHARACTERS]}…"
    millimetres = _millimetres(length) if seen == length else None
    if millimetres is None:
        raise ValueError(
            f'"{seen}" is no length; give millimetres as a number, or write it with its unit: '
            '"80 mm", "8 cm", "3/16 in", "1 1/2 in"'
        )
    return float(millimetres)


def _millimetres(length: str) -> Fraction | None:
    line = TokenLine(length)
    number = read_numeral(line, 0)
    if number is None or number.ranged or (number.comma and number.thousands is not None):
        return None
    unit = _MM_PER.get(line[number.end].plain)
    rest = [token.text for token in line][number.end + 1 :]
    return None if unit is None or rest not in ([], ["."]) else number.value * unit


LengthMm = Annotated[float, BeforeValidator(read_length_mm, json_schema_input_type=float | str)]
"""A length in millimetres, which a request may also write in words: "3/16 in"."""


@dataclass(frozen=True)
class Between:
    """The least and the most of a dimension, and why there is no more or less of it."""

    least: float
    most: float
    unit: str
    why: str | None = None

    def check(self, value: float) -> float:
        """Return `value`; raise ValueError with the allowed range where it lies outside."""
        if not self.least <= value <= self.most:
            reason = f": {self.why}" if self.why else ""
            raise ValueError(f"must be between {self} {self.unit}{reason}")
        return value

    def __str__(self) -> str:
        return f"{self.least:g} and {self.most:g}"

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self.check, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {**handler(schema), "minimum": self.least, "maximum": self.most}
