"""The time that one question may take, by the wall clock; the solver itself has no clock."""

import math
import time


class Deadline:
    """The time a request has left, counted from now; called, it says how many seconds."""

    def __init__(self, seconds: float) -> None:
        """Start counting."""
        self._strikes_at = time.monotonic() + seconds

    def __call__(self) -> float:
        """Return the seconds left, never below 0."""
        return max(0.0, self._strikes_at - time.monotonic())

    def strike(self) -> None:
        """Leave no time at all."""
        self._strikes_at = -math.inf
