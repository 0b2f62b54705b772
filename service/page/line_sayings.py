"""What the page says of a line: why it is set aside, what is in doubt, what may be described.

In English these are the reading's own sentences; in other languages one sentence for each code.
"""

from typing import get_args

from models.ingredient import Role
from models.reading.aside import Aside, AsideCode
from service.page.fields import Fields
from service.page.languages import Say
from service.page.pins import KIND, KINDS, SHARES
from service.page.understood import UnderstoodLine
from service.reading.recipe_text import ReadLine

__all__ = ["ASIDE", "DOUBTS", "KINDS", "ROLES", "aside", "doubt", "may_be_own"]

ASIDE: dict[AsideCode, str] = {
    "heading": "This is a heading.",
    "no_amount": "It names no amount.",
    "for_serving": "It is for finishing or serving.",
    "other_part": "It is of another part, not of the dough.",
    "not_food": "It is no food.",
    "note": "It is a note.",
    "unread": "It was not understood; say what it is, or leave it out.",
}
DOUBTS = {
    "unknown_food": "This food is not known; it was reckoned by its kind.",
    "nearest_food": "The nearest known food was taken.",
    "spelling": "It was read with one letter changed.",
    "words": "Some of its words were not understood.",
    "several": "Several foods stand on one line.",
    "vague": "A usual weight was taken for a vague amount.",
    "alternative": "One of several foods was taken.",
    "number": "Its number can be read in two ways.",
    "disagreement": "Its two amounts disagree; the weight counts.",
    "each": "It may be the weight of one or of all.",
    "range": "The middle of the range was taken.",
    "size": "A usual size was taken.",
    "ounce": "Ounces were read by weight.",
    "filling": "How the cup is filled leaves room.",
    "about": "The amount written was taken as exact.",
    "extra": "What is added to taste was not counted.",
    "to_taste": "The amount written counts, whatever the taste.",
    "pinch": "A pinch was taken as 0.4 g.",
    "optional": "It is optional; it was counted.",
}
ROLES: dict[Role, str] = {role: role for role in get_args(Role)}

_DESCRIBABLE = frozenset({"unknown_food", "nearest_food", "spelling"})


def aside(say: Say, language: str, why: Aside) -> str:
    """Return why a line is set aside."""
    return why.message if language == "en" else say(ASIDE[why.code])


def doubt(say: Say, language: str, line: ReadLine) -> str:
    """Return what is in doubt about a line that was read."""
    assert line.uncertain is not None, "only doubtful lines are told of"
    code = line.uncertain.code
    if language == "en" or code not in DOUBTS:
        return line.uncertain.message
    return say(DOUBTS[code])


def may_be_own(line: UnderstoodLine, fields: Fields) -> bool:
    """Tell whether a line may be a food that its visitor has to describe, or was described."""
    if any(fields.one(at + line.text) for at in (KIND, *SHARES.values())):
        return True
    if line.pin is not None:
        return not line.pin.get("aside")
    return line.read is None or (
        line.read.uncertain is not None and line.read.uncertain.code in _DESCRIBABLE
    )
