"""Settings: everything about a running service that its operator may choose. Read nowhere else."""

import os
from dataclasses import dataclass, field

DEFAULT_DATABASE_URL = "sqlite:///formhold.sqlite3"


def cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):  # absent on macOS and Windows
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@dataclass(frozen=True, kw_only=True)
class Settings:
    """How the service listens, how long it works, and what it will not accept."""

    host: str = "127.0.0.1"
    port: int = 8000
    """0 takes any free port."""

    database_url: str = DEFAULT_DATABASE_URL

    workers: int = field(default_factory=cores)
    """Solves at a time; more than there are cores makes each slower and none sooner."""
    queue_length: int = 32
    """Requests that may wait for a worker; one more is refused with 503."""
    solve_seconds: float = 10.0
    """How long a request may take from the moment it is accepted, its wait included."""

    max_body_bytes: int = 1_000_000
    body_seconds: float = 10.0
    """How long a body may take to arrive."""
    idle_seconds: int = 10
    """How long a connection may go without a complete request."""
    max_connections: int = 200
