"""Whether the service lives, whether it can answer, and what it has been doing."""

from typing import Literal

from fastapi import APIRouter, Request, Response

from models.value import Value
from service.http.metrics import MEDIA_TYPE
from service.http.openapi import problems
from service.http.solve_pool import RETRY_AFTER_SECONDS
from service.http.wiring import wiring
from service.problems import NOT_READY, Refused
from service.store.database import DatabaseUnusable

router = APIRouter(tags=["operation"])


class Health(Value):
    """A plain yes; a no is a problem document."""

    status: Literal["ok"] = "ok"


@router.get("/livez", operation_id="isAlive", summary="Is the service alive?")
async def is_alive() -> Health:
    """Answer 200 for as long as the process can answer at all."""
    return Health()


@router.get(
    "/readyz", operation_id="isReady", summary="Can the service answer?", responses=problems(503)
)
def is_ready(request: Request) -> Health:
    """Answer 200 once a solve has been seen to work and while the database answers."""
    wired = wiring(request)
    if not wired.can_solve:
        raise _not_ready("No solve has worked since the start; the log says why.")
    if not wired.can_store:
        raise _not_ready("The database was not brought up to date; the log says why.")
    try:
        wired.database.check()
    except DatabaseUnusable:
        raise _not_ready("The database does not answer.") from None
    return Health()


@router.get(
    "/metrics",
    operation_id="measureService",
    summary="What has it been doing?",
    response_class=Response,
    responses={200: {"content": {"text/plain": {"schema": {"type": "string"}}}}},
)
def measure_service(request: Request) -> Response:
    """Answer counts and times of requests and solves, in the Prometheus text format.

    Where several processes answer for the service, they are counted together.
    """
    wired = wiring(request)
    counted = (wired.shared_metrics or wired.metrics).text()
    return Response(counted, headers={"Content-Type": MEDIA_TYPE})


def _not_ready(detail: str) -> Refused:
    return Refused(NOT_READY, detail, headers={"Retry-After": str(RETRY_AFTER_SECONDS)})
