"""Words of the page: what its fields and lengths are called; ratios and limits are named in
`models.wording`."""

import re
from fractions import Fraction

from models.dimension import read_length_mm
from models.wording import RATIO_WORDS
from service.drawings.lettering import NO_BREAK, chance_words

MEASURES = {
    "as_written": "As written",
    "us": "Cups and spoons",
    "metric": "Millilitre spoons and grams",
    "scale": "Scale",
}
LENGTHS = {"mm": "Millimetres", "in": "Inches"}

MEMBERS = {
    "diameter": "Diameter",
    "wrap": "Wrap",
    "length": "Length",
    "base_diameter": "Diameter below",
    "top_diameter": "Diameter above",
    "height": "Height",
    "width": "Width",
    "cap": "Top to rim",
    "crest_radius": "Crest radius",
    "slope": "Slope",
    "crests": "Crests",
    "lean": "Lean",
}

_UNIT = re.compile(r"_(mm|degrees)$")


def member_name(member: str) -> str:
    """Return what a dimension is called on the page."""
    return MEMBERS[_UNIT.sub("", member)]


def is_share(ratio: str) -> bool:
    """Tell whether a ratio is a percentage of the flour."""
    return ratio.endswith("_percent")


def number(value: float | None) -> str:
    """Return a number to three figures as people read it, a dash for none."""
    if value is None:
        return "–"
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"


def ratio_number(ratio: str, value: float | None) -> str:
    """Return a ratio's value with its unit."""
    return f"{number(value)}{NO_BREAK}%" if is_share(ratio) and value is not None else number(value)


def grams(value: float) -> str:
    """Return grams as a kitchen scale shows them: tenths below 20."""
    return f"{value:.0f}{NO_BREAK}g" if value >= 20 else f"{value:.1f}{NO_BREAK}g"


def length(value_mm: float, lengths: str) -> str:
    """Return a length in the unit that was chosen; inches to the nearest thirty-second."""
    if lengths != "in":
        return f"{value_mm:.3g}{NO_BREAK}mm"
    return f"{_inches(value_mm)}{NO_BREAK}in ({value_mm:.3g}{NO_BREAK}mm)"


def both_lengths(typed: str) -> tuple[str, str] | None:
    """Return a length that was typed with its unit in both units; None for any other."""
    try:
        value_mm = read_length_mm(typed)
    except ValueError:
        return None
    assert isinstance(value_mm, float)
    if not 1 <= value_mm <= 10_000:
        return None
    return f"{value_mm:.4g} mm", f"{_inches(value_mm)} in"


def _inches(value_mm: float) -> str:
    """Return a length as an inch ruler reads it, to the nearest thirty-second."""
    whole, part = divmod(Fraction(round(value_mm / 25.4 * 32), 32), 1)
    return " ".join(str(each) for each in (whole, part) if each) or "0"


def range_words(ratio: str, least: float | None, most: float | None) -> str:
    """Return a window in words, nothing for none."""
    if least is None and most is None:
        return ""
    if most is None:
        return f"at least {ratio_number(ratio, least)}"
    if least is None:
        return f"at most {ratio_number(ratio, most)}"
    return f"{number(least)} to {ratio_number(ratio, most)}"


def within_words(value: float | None, least: float | None, most: float | None) -> str:
    """Return on which side of its window a value lies."""
    if value is None:
        return "undefined"
    if least is not None and value < least:
        return "below it"
    if most is not None and value > most:
        return "above it"
    return "inside"


def estimate_words(percent: float, low: float, high: float) -> str:
    """Return an estimated chance with the range that an untried kitchen leaves open."""
    chance = chance_words(percent)
    about = "about " if chance[0].isdigit() else ""
    return f"{about}{chance} (anywhere from {low:.0f} to {high:.0f}{NO_BREAK}%)"


def change_words(percent: float) -> str:
    """Return a change with its sign: "+9 %", "−33 %"."""
    return f"{percent:+.0f}{NO_BREAK}%".replace("-", "\u2212")


_FIELDS: dict[str, str] = {
    "title": "Name",
    "lines": "Recipe",
    "form": "Form",
    "thickness": "Thickness",
    "what.thickness": "Thickness",
    "what.flour": "Flour",
    "what.leavening": "Leavening",
    "pieces": "Pieces",
    "flour_change": "Flour may move",
    "crack_chance_percent": "Chance of a crack",
    **{str(ratio): words.title for ratio, words in RATIO_WORDS.items()},
}


def field_name(field: str, line: int | None = None) -> str:
    """Return what a field is called where its fault is told apart from it."""
    kind, _, name = field.partition(".")
    if line is not None:
        return f"Line {line}"
    if kind == "most":
        return name
    if _UNIT.sub("", name) in MEMBERS:
        return member_name(name)
    return _FIELDS.get(field, _FIELDS.get(kind, "Something"))
