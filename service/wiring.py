"""What a route needs to answer: the parts of one running service, made by `service.app`."""

from dataclasses import dataclass
from typing import cast

from starlette.requests import Request

from service.settings import Settings
from service.solve_pool import SolvePool
from service.store.database import Database


@dataclass
class Wiring:
    """The parts of a running service."""

    settings: Settings
    pool: SolvePool
    database: Database
    can_solve: bool = False
    """Whether a solve has been seen to work since the start."""


def wiring(request: Request) -> Wiring:
    """Return the parts of the service that `request` came to."""
    return cast(Wiring, request.app.state.wiring)
