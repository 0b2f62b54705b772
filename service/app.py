"""The app: every part of the service made and joined, here and nowhere else."""

import logging
from collections.abc import AsyncIterator
from contextlib import ExitStack, asynccontextmanager
from functools import cache, partial
from importlib.metadata import PackageNotFoundError, version

from fastapi import Depends, FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.middleware.cors import CORSMiddleware

from service.http.callers import within_rate
from service.http.metrics import Metrics
from service.http.openapi_document import document
from service.http.rate_limits import RateLimits
from service.http.readiness import rehearse
from service.http.refusing import Shelter, refuse_with_problems
from service.http.request_log import HeadAsGet, RequestLog
from service.http.shared_metrics import SharedMetrics
from service.http.solve_pool import SolvePool
from service.http.wiring import Wiring
from service.migrations import upgrade
from service.routes import (
    batches,
    bench,
    catalogues,
    exchange,
    forms,
    health,
    home,
    ingredients,
    kitchens,
    measures,
    notices,
    page,
    questions,
    recipes,
    runs,
    trials,
)
from service.runs.engine import RunEngine
from service.runs.local import LocalEngine
from service.runs.notices import NoticeSender
from service.runs.outside import Allowed
from service.runs.postgres import QueueEngine
from service.settings import Settings
from service.store.answered import forget_old
from service.store.callers import welcome_single_user
from service.store.database import Database, DatabaseUnusable

log = logging.getLogger("formhold.service")

ROUTES = (
    questions,
    batches,
    forms,
    ingredients,
    measures,
    recipes,
    catalogues,
    kitchens,
    trials,
    bench,
    exchange,
    runs,
    notices,
    page,
)
UNCOUNTED_ROUTES = (health, home)


def create_app(settings: Settings, runs: RunEngine | None = None) -> FastAPI:
    """Return a service that runs by `settings`; raise DatabaseUnusable for a wrong address.

    `runs` works through the runs, an engine of the service's own unless it is given.
    """
    wired = _wire(settings, runs)
    app = FastAPI(
        title="Formhold",
        version=_version(),
        summary="The smallest measurable changes that make a rolled dough hold its shape.",
        description=_DESCRIPTION,
        openapi_tags=_TAGS,
        docs_url=None,  # the usual pages fetch their scripts from elsewhere
        redoc_url=None,
        redirect_slashes=False,
        lifespan=_lifespan,
        middleware=[
            Middleware(RequestLog, metrics=wired.metrics),
            _ANY_ORIGIN,
            Middleware(HeadAsGet),
            Middleware(Shelter),
        ],
    )
    app.state.wiring = wired
    for route in ROUTES:
        app.include_router(route.router, dependencies=[Depends(within_rate)])
    for route in UNCOUNTED_ROUTES:
        app.include_router(route.router)
    refuse_with_problems(app)
    app.openapi = cache(partial(document, app))  # type: ignore[method-assign]
    return app


def _wire(settings: Settings, runs: RunEngine | None) -> Wiring:
    database, pool = Database(settings.database_url), SolvePool(settings)
    metrics = Metrics(pool)
    counts_with_others = settings.processes > 1 or not database.is_embedded
    return Wiring(
        settings,
        pool,
        database,
        RateLimits(settings, database if counts_with_others else None),
        runs or run_engine(settings, database),
        NoticeSender(database, Allowed.read(settings.notify_hosts)),
        metrics,
        SharedMetrics(metrics, database) if counts_with_others else None,
    )


_ANY_ORIGIN = Middleware(  # pages of any origin may ask; what is stored they see with a key alone
    CORSMiddleware,
    allow_origins=["*"],
    allow_methods=["GET", "HEAD", "POST", "PUT", "DELETE"],
    allow_headers=[
        "Authorization",
        "Content-Type",
        "Idempotency-Key",
        "If-Match",
        "If-None-Match",
        "X-Request-Id",
    ],
    expose_headers=[
        "ETag",
        "Idempotent-Replay",
        "Link",
        "Location",
        "Retry-After",
        "WWW-Authenticate",
        "X-Request-Id",
    ],
)

_DESCRIPTION = """\
Mass in grams, length in millimetres, angle in degrees, temperature in degrees Celsius. A member
ending in `_percent` is 0 to 100; a baker's percentage is grams to 100 g of flour. Bounds are
inclusive, and one that is left out does not bind. Computed numbers are not rounded; measures and
messages are what people read.

A body is JSON in UTF-8 of at most 1 MB, nested at most 32 deep. Unknown members, members given
twice and numbers that are not finite are refused. Errors are `application/problem+json` (RFC 9457)
with every fault of the request at once."""

_TAGS = [
    {"name": "doughs", "description": "Recipes weighed, judged and reformulated."},
    {"name": "forms", "description": "What a sheet is baked on, and the pieces to cut for it."},
    {"name": "shop", "description": "Recipes, catalogues and kitchens that are kept for a caller."},
    {"name": "reference", "description": "What the service knows of ingredients and measures."},
    {"name": "operation", "description": "For whoever runs the service."},
]


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    wired: Wiring = app.state.wiring
    await run_in_threadpool(_prepare_store, wired)
    try:
        if wired.can_store:
            wired.runs.start()
            wired.notices.start()
            if wired.shared_metrics is not None:
                wired.shared_metrics.start()
        await rehearse(wired)
        yield
    finally:
        await run_in_threadpool(_close, wired)


def _close(wired: Wiring) -> None:
    """Let everything finish what it is at, whatever has ended the service."""
    with ExitStack() as closing:  # the last first; one that fails keeps none from closing
        closing.callback(wired.database.close)
        closing.callback(wired.pool.close)
        if wired.shared_metrics is not None:
            closing.callback(wired.shared_metrics.close)
        closing.callback(wired.notices.close)
        closing.callback(wired.runs.close)


def run_engine(settings: Settings, database: Database) -> RunEngine:
    """Return who works through the runs in `database`, not started yet."""
    if database.is_embedded:
        return LocalEngine(database, settings.run_processes, settings.solve_seconds)
    return QueueEngine(
        database, settings.run_processes, settings.solve_seconds, settings.stalled_seconds
    )


def _prepare_store(wired: Wiring) -> None:
    """Bring the database up to date; where that fails the service lives on to say so."""
    try:
        upgrade(wired.database)
        with wired.database.writing() as connection:
            welcome_single_user(connection)
            forget_old(connection)
    except DatabaseUnusable as error:
        log.error("%s The service is not ready.", error)
        return
    wired.can_store = True


def _version() -> str:
    try:
        return version("formhold")
    except PackageNotFoundError:  # run from the source tree
        return "0"
