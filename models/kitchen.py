"""A kitchen: an oven and its baker. What is learned from its trials holds there and nowhere else.

What was baked in it is `models.trial`; what was learned from that is `models.learning`.
"""

from typing import Annotated

from pydantic import StringConstraints

from models.catalogue import Identity
from models.value import Value
from models.written import Label, Moment


class NewKitchen(Value):
    """A kitchen to learn from, or the name that one is to have."""

    name: Annotated[Label, StringConstraints(max_length=200)]


class Kitchen(Value):
    """A kitchen: an oven and its baker. `revision` counts what it has been called."""

    id: Identity
    name: str
    revision: int
    created_at: Moment


class KitchenList(Value):
    """Kitchens, the oldest first; where there are more, a Link header leads to them."""

    kitchens: tuple[Kitchen, ...]
