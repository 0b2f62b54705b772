"""What the service asks of an engine, whichever works the runs through."""

from typing import Protocol


class RunEngine(Protocol):
    """Whoever works through the runs that are entered."""

    def start(self) -> None:
        """Go on with what was left over, and be ready for more; wait for nothing."""

    def wake(self) -> None:
        """See to the runs that have just been entered; wait for nothing."""

    def close(self) -> None:
        """Stop between two recipes and keep what is done; what is left goes on at the next start.

        Nothing is raised, and a second time does nothing.
        """
