"""Settings: everything about a running service that its operator may choose. Read nowhere else."""

import ipaddress
import os
from dataclasses import dataclass, field

DEFAULT_DATABASE_URL = "sqlite:///formhold.sqlite3"
OPEN_REQUESTS_PER_MINUTE = 120
KEYED_REQUESTS_PER_MINUTE = 1200


def cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):  # absent on macOS and Windows
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def is_loopback(host: str) -> bool:
    """Tell whether `host` can be reached from this machine alone."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


@dataclass(frozen=True, kw_only=True)
class Settings:
    """How the service listens, how long it works, and what it will not accept."""

    host: str = "127.0.0.1"
    port: int = 8000
    """0 takes any free port."""

    database_url: str = DEFAULT_DATABASE_URL

    processes: int = 1
    """Processes that answer on the one socket; solves and queue are shared out among them."""
    workers: int = field(default_factory=cores)
    """Solves at a time, in all processes together; more than there are cores makes each slower and
    none sooner."""
    queue_length: int = 32
    """Requests that may wait for a worker; one more is refused with 503."""
    solve_seconds: float = 10.0
    """How long a request may take from the moment it is accepted, its wait included."""

    run_processes: int = field(default_factory=cores)
    """Recipes of runs at a time; 0 leaves runs to workers on other machines."""
    stalled_seconds: float = 10.0
    """How long a worker on another machine may be silent before its work is given to others."""

    max_body_bytes: int = 1_000_000
    body_seconds: float = 10.0
    """How long a body may take to arrive."""
    idle_seconds: int = 10
    """How long a connection may go without a complete request."""
    max_connections: int = 200
    """In each process."""

    trusted_proxies: str = "127.0.0.1"
    """Addresses and networks, with commas between, of proxies that say whom they ask for."""

    notify_hosts: str = ""
    """Hosts and networks, with commas between, that may be told of a run's end; by a private
    address only where it, or its network, is listed."""

    single_user: bool | None = None
    """Whether whoever asks without a key is the one person who works here; where this is not said,
    they are if the service listens on the loopback alone."""
    open_requests_per_minute: int | None = None
    """Of one address, without a key; 0 is without limit. Where this is not said, there is none for
    a single user."""
    keyed_requests_per_minute: int | None = None
    """Of one caller, with a key."""

    @property
    def is_single_user(self) -> bool:
        """Whether requests without a key may store and see what is stored."""
        return is_loopback(self.host) if self.single_user is None else self.single_user

    @property
    def most_without_key(self) -> int:
        """Requests a minute of one address without a key; 0 is without limit."""
        return self._limit(self.open_requests_per_minute, OPEN_REQUESTS_PER_MINUTE)

    @property
    def most_with_key(self) -> int:
        """Requests a minute of one caller with a key; 0 is without limit."""
        return self._limit(self.keyed_requests_per_minute, KEYED_REQUESTS_PER_MINUTE)

    def _limit(self, said: int | None, usual: int) -> int:
        if said is not None:
            return said
        return 0 if self.is_single_user else usual
