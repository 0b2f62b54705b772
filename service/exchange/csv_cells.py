"""Cells that no spreadsheet takes for formulas, and back again.

A cell that begins as a formula does gets an apostrophe in front, as spreadsheets themselves mark
text; so does one that already begins with apostrophes and then a formula, so that taking one off
gives back what there was.
"""

import re

_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_NUMBER = re.compile(r"-[0-9]+(?:\.[0-9]+)?")
_DEFUSED = re.compile(r"'+[=+\-@\t\r]")


def defuse(cell: str) -> str:
    """Return `cell` as it may be opened in a spreadsheet."""
    if _NUMBER.fullmatch(cell):
        return cell
    return f"'{cell}" if _FORMULA.match(cell) else cell


def restore(cell: str) -> str:
    """Return what `defuse` was given."""
    return cell[1:] if _DEFUSED.match(cell) else cell
