"""The deadline: how long the caller will still wait. The solver has no clock of its own."""

import math
from collections.abc import Callable

SecondsLeft = Callable[[], float]
"""Says how many seconds the caller will still wait; nothing left stops whatever is going on."""


def no_deadline() -> float:
    """Wait as long as it takes."""
    return math.inf
