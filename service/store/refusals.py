"""What the store will not do, and why; what callers are told is `service.http.store_problems`.

StoreRefusal
├── NotThere    nothing of that name is the caller's to see
├── Stale       it has changed since the caller saw it
├── Taken       another recipe of the catalogue has that external id
├── NotEmpty    a catalogue still holds recipes, a kitchen trials
├── AtWork      a run that has not ended yet
├── KeyReused   an idempotency key came with another request
└── InFlight    the request of that idempotency key is still at work
"""


class StoreRefusal(Exception):
    """Anything the store turns down on purpose."""


class NotThere(StoreRefusal):
    """Nothing of that name is the caller's: it never was, it is gone, or it is someone else's."""


class Stale(StoreRefusal):
    """The caller would have overwritten a change that it has not seen."""

    def __init__(self, current: int) -> None:
        """Keep the revision that is current."""
        super().__init__(f"revision {current} is current")
        self.current = current


class Taken(StoreRefusal):
    """A catalogue holds each external id once."""


class NotEmpty(StoreRefusal):
    """A catalogue or a kitchen is not deleted by the way together with what it holds."""

    def __init__(self, holder: str, held: str) -> None:
        """Keep what still holds what, as an address calls them."""
        super().__init__(f"the {holder} holds {held}")
        self.holder = holder
        self.held = held


class AtWork(StoreRefusal):
    """A run goes on: what is asked of it has to wait for its end."""


class KeyReused(StoreRefusal):
    """An idempotency key stands for one request, and this is another."""


class InFlight(StoreRefusal):
    """The first request with that idempotency key has not ended yet."""
