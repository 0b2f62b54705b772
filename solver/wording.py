"""The words for limits and ratios in reasons, bindings and conflicts."""

from fractions import Fraction

from models.limits import ChangeLimit, Limit
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
    name, unit = _RATIO_WORDS[limit.ratio]
    side = "at least" if limit.side == "min" else "at most"
    return f"{name} of {side} {number(limit.value)}{unit}"


def ratio_words(ratio: RatioName, value: Fraction | None) -> str:
    """Return a ratio's value with its unit, "undefined" where there is nothing to divide by."""
    return "undefined" if value is None else f"{number(value)}{_RATIO_WORDS[ratio][1]}"


def number(value: Fraction) -> str:
    """Return a number to four figures, without trailing zeros."""
    return f"{float(value):.4g}"


def _change_words(limit: ChangeLimit) -> str:
    kind, _, name = limit.name.partition(".")
    if kind == "keep":
        return f"{name} kept as it is"
    if kind == "max_change_percent":
        return f"{name} changed by at most {number(limit.percent)} %"
    return f"flour changed by at most {number(limit.percent)} %"
