"""Figures beside a name that measure nothing out: of heat, time, length, a strength, a flour."""

from models.reading.kitchen_words import HEAT_TIME_LENGTH, OF_STRENGTH
from models.reading.tokens import TokenLine


def tells_heat_time_length(line: TokenLine, at: int) -> bool:
    """Whether this is of a heat, time, length or cut: 1-inch, 30-60 minutes, into 8 pieces."""
    if line[at].kind == "number":
        return line[at - 1].plain == "into" or any(
            line[at + i].plain in HEAT_TIME_LENGTH | {"°"} for i in range(1, 5)
        )
    number = line[at - 2] if line[at - 1].kind == "mark" else line[at - 1]
    closes = line[at - 1].text == "°" or line[at].plain in HEAT_TIME_LENGTH
    return closes and (number.kind == "number" or line[at - 1].plain in HEAT_TIME_LENGTH)


def tells_strength(line: TokenLine, at: int) -> bool:
    """Whether this is of a percentage: 70% cocoa solids, 3,5 % Fett."""
    if line[at].kind == "number":
        return line[at + 1].text == "%"
    near = [line[at - back].text for back in range(1, 5)]
    return line[at].plain in OF_STRENGTH and "%" in near


def tells_flour_type(line: TokenLine, at: int) -> bool:
    """Whether this is of the number that a flour has by its ash: Type 630, T 65."""
    if line[at].kind != "number":
        return line[at].plain in {"type", "typ", "t"}
    return line[at - 1].plain in {"type", "typ", "t", "ou", "oder", "or", "/"}
