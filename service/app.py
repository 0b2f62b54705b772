"""The app: every part of the service made and joined, here and nowhere else."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache, partial
from importlib.metadata import PackageNotFoundError, version

from fastapi import FastAPI
from starlette.middleware import Middleware
from starlette.middleware.cors import CORSMiddleware

from service import openapi
from service.refusing import Shelter, refuse_with_problems
from service.rehearsal import rehearse
from service.request_log import HeadAsGet, RequestLog
from service.routes import (
    forms,
    health,
    home,
    ingredients,
    ladders,
    measures,
    ratios,
    readings,
    reformulations,
    sections,
    templates,
    what_if,
)
from service.settings import Settings
from service.solve_pool import SolvePool
from service.store.database import Database
from service.wiring import Wiring

ROUTES = (
    ratios,
    reformulations,
    what_if,
    templates,
    sections,
    ladders,
    readings,
    forms,
    ingredients,
    measures,
    health,
    home,
)


def create_app(settings: Settings) -> FastAPI:
    """Return a service that runs by `settings`; raise DatabaseUnusable for a wrong address."""
    parts = Wiring(settings, SolvePool(settings), Database(settings.database_url))
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
            Middleware(RequestLog),
            Middleware(  # recipe pages of any origin may ask: there are no cookies, and no secrets
                CORSMiddleware,
                allow_origins=["*"],
                allow_methods=["GET", "HEAD", "POST"],
                allow_headers=["Content-Type", "X-Request-Id"],
                expose_headers=["X-Request-Id", "Retry-After"],
            ),
            Middleware(HeadAsGet),
            Middleware(Shelter),
        ],
    )
    app.state.wiring = parts
    for route in ROUTES:
        app.include_router(route.router)
    refuse_with_problems(app)
    app.openapi = cache(partial(openapi.document, app))  # type: ignore[method-assign]
    return app


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
    {"name": "reference", "description": "What the service knows of ingredients and measures."},
    {"name": "operation", "description": "For whoever runs the service."},
]


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    parts: Wiring = app.state.wiring
    await rehearse(parts)
    yield
    parts.pool.close()
    parts.database.close()


def _version() -> str:
    try:
        return version("formhold")
    except PackageNotFoundError:  # run from the source tree
        return "0"
