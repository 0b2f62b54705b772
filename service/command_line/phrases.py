"""Phrases of the command line: numbers, ranges and edits as they are typed.

Each function takes what was typed and gives a member of a request, or says what is wrong with it in
the words of `argparse`.
"""

import re
from argparse import ArgumentTypeError
from typing import Any, get_args

from models.measures import Unit
from models.ratios import RATIOS

_DECIMAL = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)", re.ASCII)
_AMOUNT = re.compile(r"(?:(\d+) +)?(\d+)/(\d+)|(\d+(?:\.\d*)?|\.\d+)", re.ASCII)
_PIECE = re.compile(r"([0-9])(s?)", re.ASCII)
_OTHER_NAMES = {"cups": "cup", "fl oz": "fl_oz", "": "each"}

Range = dict[str, float]
Edit = dict[str, Any]


def number(typed: str) -> float:
    """Return a plain decimal number."""
    if not _DECIMAL.fullmatch(typed.strip()):
        raise ArgumentTypeError(f'"{typed}" is no number; write 2.1')
    return float(typed)


def length(typed: str) -> float | str:
    """Return millimetres for a plain number; words with a unit ("3/16 in") as they are."""
    return float(typed) if _DECIMAL.fullmatch(typed.strip()) else typed


def round_test(typed: str) -> dict[str, Any]:
    """Return the round test of "60:4.8:+3.5" or "60:3/16 in:+3.5:chilled"."""
    *figures, last = typed.split(":")
    chilled = last.strip() == "chilled"
    if not chilled:
        figures.append(last)
    if len(figures) != 3 or not all(figure.strip() for figure in figures):
        raise ArgumentTypeError(
            f'"{typed}" is no round; write DIAMETER:THICKNESS:GREW, such as 60:4.8:+3.5'
        )
    across, thick, grew = figures
    measured = {"diameter_mm": length(across), "thickness_mm": length(thick)}
    return {**measured, "grew_mm": number(grew), **({"chilled": True} if chilled else {})}


def tray(typed: str) -> dict[str, Any]:
    """Return the sheet of "3.5=0,0,1,2s": a thickness, a grade for each piece; s, it slipped."""
    thickness, equals, grades = typed.rpartition("=")
    pieces = [_PIECE.fullmatch(grade.strip()) for grade in re.split("[, ]+", grades.strip())]
    if not equals or not thickness.strip() or not all(pieces):
        raise ArgumentTypeError(
            f'"{typed}" is no tray; write THICKNESS=GRADES, such as 3.5=0,0,1,2s (s: it slipped)'
        )
    return {
        "thickness_mm": length(thickness.strip()),
        "pieces": [
            {"crack_grade": int(piece[1]), **({"slipped": True} if piece[2] else {})}
            for piece in pieces
            if piece is not None
        ],
    }


def flat_round(typed: str) -> dict[str, Any]:
    """Return the round of "60:63", across before and after, or "60:63:3.5" with its thickness."""
    figures = typed.split(":")
    if len(figures) not in {2, 3} or not all(figure.strip() for figure in figures):
        raise ArgumentTypeError(f'"{typed}" is no round; write BEFORE:AFTER, such as 60:63')
    names = ("before_mm", "after_mm", "thickness_mm")
    return {name: length(figure) for name, figure in zip(names, figures, strict=False)}


def number_range(typed: str) -> Range:
    """Return the bounds of "2.1:2.4", "2.1:" or ":2.4"."""
    low, colon, high = typed.partition(":")
    if not colon or not (low or high):
        raise ArgumentTypeError(f'"{typed}" is no range; write MIN:MAX, MIN: or :MAX')
    bounds = {"min": low, "max": high}
    return {side: number(bound) for side, bound in bounds.items() if bound}


def ratio_range(typed: str) -> tuple[str, Range]:
    """Return the ratio and the bounds of "liquid-per-flour=0.3:"."""
    name, bounds = _parted(typed, "RATIO=MIN:MAX")
    ratio = name.replace("-", "_")
    if ratio not in RATIOS:
        known = ", ".join(name.replace("_", "-") for name in RATIOS)
        raise ArgumentTypeError(f'"{name}" is no ratio; the ratios are {known}')
    return ratio, number_range(bounds)


def named_number(typed: str) -> tuple[str, float]:
    """Return the name and the number of "brown sugar=10"."""
    name, value = _parted(typed, "NAME=NUMBER")
    return name, number(value)


def edit(typed: str) -> Edit:
    """Return the edit that "butter=-10%", "molasses=100 g" or "butter->shortening@fat" means, or
    "+whole milk=20 g" for one that is not in the recipe yet."""
    old, arrow, new = typed.partition("->")
    if arrow:
        name, _, basis = new.partition("@")
        replaced = {"ingredient": old.strip(), "replace_with": name.strip()}
        return {**replaced, "basis": basis.strip()} if basis else replaced
    name, value = _parted(typed, 'NAME=-10%, "NAME=100 g", "+NAME=20 g" or "NAME->OTHER@fat"')
    if name.startswith("+"):
        return {"add": name.removeprefix("+").strip(), **_measured(value)}
    if value.endswith("%"):
        return {"ingredient": name, "change_percent": number(value.removesuffix("%").strip())}
    return {"ingredient": name, **_measured(value)}


def _measured(typed: str) -> Edit:
    found = _AMOUNT.match(typed)
    unit = typed[found.end() :].strip() if found else ""
    unit = _OTHER_NAMES.get(unit, unit)
    if found is None or unit not in get_args(Unit) or found[3] == "0":
        units = " ".join(get_args(Unit))
        raise ArgumentTypeError(f'"{typed}" is no amount; write a number and one of {units}')
    whole, above, below, decimal = found.groups()
    quantity = float(decimal) if decimal else int(whole or 0) + int(above) / int(below)
    return {"quantity": quantity, "unit": unit}


def _parted(typed: str, pattern: str) -> tuple[str, str]:
    name, equals, value = typed.rpartition("=")
    if not equals or not name.strip() or not value.strip():
        raise ArgumentTypeError(f'"{typed}" is not of the form {pattern}')
    return name.strip(), value.strip()
