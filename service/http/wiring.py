"""What a route needs to answer: the parts of one running service, made by `service.app`."""

import threading
from dataclasses import dataclass, field
from typing import cast

from anyio import CapacityLimiter
from starlette.requests import Request

from service.http.metrics import Metrics
from service.http.rate_limits import RateLimits
from service.http.shared_metrics import SharedMetrics
from service.http.solve_pool import SolvePool
from service.runs.engine import RunEngine
from service.runs.notices import NoticeSender
from service.settings import Settings
from service.store.database import Database

MOST_IMPORTS = 4


@dataclass
class Wiring:
    """The parts of a running service."""

    settings: Settings
    pool: SolvePool
    database: Database
    rates: RateLimits
    runs: RunEngine
    notices: NoticeSender
    metrics: Metrics
    shared_metrics: SharedMetrics | None
    """Where several processes answer for the service."""
    is_closing: threading.Event = field(default_factory=threading.Event)
    """Set once the service has been told to stop, for answers that would go on for long."""
    imports: CapacityLimiter = field(default_factory=lambda: CapacityLimiter(MOST_IMPORTS))
    """The places for files on their way in; each holds a thread for as long as it takes."""
    can_solve: bool = False
    """Whether a solve has been seen to work since the start."""
    can_store: bool = False
    """Whether the database has been brought up to date since the start."""


def wiring(request: Request) -> Wiring:
    """Return the parts of the service that `request` came to."""
    return cast(Wiring, request.app.state.wiring)
