"""The words for limits and ratios in reasons, bindings and conflicts."""

from fractions import Fraction
from typing import assert_never

from models.limits import ChangeLimit, CrackLimit, Limit, RatioLimit
from models.ratios import RatioName

_RATIO_WORDS: dict[RatioName, tuple[str, str]] = {
    "flour_to_fat": ("flour to fat", ""),
    "soda_equivalent_percent": ("leavening as soda", " % of the flour"),
    "moisture_percent": ("moisture", " % of the flour"),
    "liquid_per_flour": ("liquid to flour", ""),
    "wet_per_flour": ("liquid and fat to flour", ""),
    "sugar_percent": ("sugars", " % of the flour"),
    "egg_percent": ("egg", " % of the flour"),
}


def limit_words(limit: Limit) -> str:
    """Return a limit as a baker says it: "flour to fat of at least 2.1"."""
    if isinstance(limit, ChangeLimit):
        return _change_words(limit)
    if isinstance(limit, CrackLimit):
        return f"a chance of cracking of at most {number(limit.percent)} %"
    name, unit = _RATIO_WORDS[limit.ratio]
    side = "at least" if limit.side == "min" else "at most"
    return f"{name} of {side} {number(limit.value)}{unit}"


def measured_words(limit: RatioLimit | CrackLimit, value: Fraction | None) -> str:
    """Return what a limit bounds with its unit, "undefined" with nothing to divide by."""
    if value is None:
        return "undefined"
    unit = " %" if isinstance(limit, CrackLimit) else _RATIO_WORDS[limit.ratio][1]
    return f"{number(value)}{unit}"


def number(value: Fraction) -> str:
    """Return a number to four figures, without trailing zeros."""
    return f"{float(value):.4g}"


def _change_words(limit: ChangeLimit) -> str:
    match limit.kind:
        case "keep":
            return f"{limit.subject} kept as it is"
        case "change":
            return f"{limit.subject} changed by at most {number(limit.percent)} %"
        case "flour_change":
            return f"flour changed by at most {number(limit.percent)} %"
        case _:
            assert_never(limit.kind)
