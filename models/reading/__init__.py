"""Reading: one line of a recipe as a person writes it, into ingredient and amount.

The front door is `read_line`. The steps are the files beside it, in this order: tokens, numerals,
quantities (with units), segments, naming, weights, remarks; doubts and refusals are what they say.
"""

from models.reading.aside import Aside, SetAside, set_aside, understand_line
from models.reading.doubts import Uncertain, UnreadableLine
from models.reading.line import Reading, read_line

__all__ = [
    "Aside",
    "Reading",
    "SetAside",
    "Uncertain",
    "UnreadableLine",
    "read_line",
    "set_aside",
    "understand_line",
]
