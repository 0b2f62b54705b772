"""The arguments that say on which form, and how its sheet is rolled."""

import argparse
from typing import Any

from models.form import FORMS, KINDS
from service.command_line.phrases import length, number, round_test
from service.command_line.template import OPTIONS

LENGTH = """a length: millimetres, or "3/16 in", "8 cm\""""

_ROUND = """\
a flat round of this dough as written that was baked: how wide it was cut, how thick, and what it
grew across ("60:4.8:+3.5"; ":chilled" after it where it rested cold): sharpens every estimate"""


def add_target(asking: argparse.ArgumentParser) -> None:
    """Let a command take a form with its sheet, and what may be done to that."""
    target = asking.add_argument_group("the form that it is to hold")
    add = target.add_argument
    add("--form", dest="kind", choices=KINDS, help="what the sheet is laid over")
    add("--thickness", dest="thickness_mm", metavar="L", type=length, help=LENGTH)
    add("--chilled", action="store_true", help="the cut pieces rest cold before they bake")
    add("--may-roll-to", metavar="L", type=length, help="the thinnest it may be rolled instead")
    add("--may-chill", action="store_true", help="let the answer chill the pieces where that helps")
    add("--crack-chance-percent", metavar="N", type=number, help="at most (20)")
    add("--round", metavar="D:T:GREW", type=round_test, help=_ROUND)
    add_dimensions(target)


def add_dimensions(group: Any) -> None:
    """Let a command take every dimension of every form."""
    kinds = dict(zip(KINDS, FORMS, strict=True))
    for member, option in OPTIONS.items():
        of = ", ".join(kind for kind, form in kinds.items() if member in form.model_fields)
        reader = length if member.endswith("_mm") else number if "degrees" in member else int
        metavar = "L" if reader is length else "N"
        group.add_argument(f"--{option}", dest=member, metavar=metavar, type=reader, help=of)
