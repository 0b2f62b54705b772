"""Refusing: every error as an HTTP response with its problem document. Nothing inside is shown."""

import logging
from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.responses import Response
from starlette.routing import Match
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from models.errors import BadInput, Fault, FormholdError, RecheckFailed, message_of, pointer
from service.http.store_problems import refusal_of
from service.problems import (
    CLIENT_GONE,
    INTERNAL_ERROR,
    MEDIA_TYPE,
    METHOD_NOT_ALLOWED,
    NOT_FOUND,
    Kind,
    Problem,
    Refused,
    problem_of,
)
from service.store.database import DatabaseUnusable
from service.store.refusals import StoreRefusal

log = logging.getLogger("formhold.problems")

METHODS = ("GET", "POST", "PUT", "DELETE", "PATCH")


def refuse_with_problems(app: FastAPI) -> None:
    """Answer every error that `app` raises on purpose with its problem document."""
    app.add_exception_handler(FormholdError, _refuse)
    app.add_exception_handler(RequestValidationError, _refuse_query)
    app.add_exception_handler(HTTPException, _refuse_address)
    app.add_exception_handler(ClientDisconnect, _refuse_gone)
    app.add_exception_handler(StoreRefusal, _refuse_stored)
    app.add_exception_handler(DatabaseUnusable, _refuse_stored)


def problem_response(problem: Problem, headers: dict[str, str] | None = None) -> Response:
    """Return `problem` as a response."""
    return Response(
        problem.model_dump_json(),
        status_code=problem.status,
        headers=headers,
        media_type=MEDIA_TYPE,
    )


class Shelter:
    """Answer an error that nobody expected with its number alone, and log it under that number."""

    def __init__(self, app: ASGIApp) -> None:
        """Stand in front of `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on."""
        started = False

        async def send_noting_start(message: Message) -> None:
            nonlocal started
            started = True
            await send(message)

        try:
            await self.app(scope, receive, send_noting_start)
        except Exception:
            request_id = scope.get("state", {}).get("request_id", "unknown")
            log.exception("request %s failed", request_id)
            if started or scope["type"] != "http":
                raise
            detail = f"The failure is logged as {request_id}; please quote that when you report it."
            await problem_response(INTERNAL_ERROR.problem(detail))(scope, receive, send)


async def _refuse(request: Request, error: Exception) -> Response:
    assert isinstance(error, FormholdError)
    if isinstance(error, RecheckFailed):
        log.error("request %s: answer withheld: %s", request.state.request_id, error)
    return problem_response(
        problem_of(error), error.headers if isinstance(error, Refused) else None
    )


async def _refuse_stored(request: Request, error: Exception) -> Response:
    assert isinstance(error, StoreRefusal | DatabaseUnusable)
    if isinstance(error, DatabaseUnusable):
        log.error("request %s: %s", request.state.request_id, error)
    refused = refusal_of(error)
    return problem_response(refused.problem, refused.headers)


async def _refuse_query(request: Request, error: Exception) -> Response:
    """Refuse what stands in the address; the body is never FastAPI's to read."""
    assert isinstance(error, RequestValidationError)
    faults = (Fault(pointer=pointer(e["loc"]), message=message_of(e)) for e in error.errors())
    return problem_response(problem_of(BadInput(faults)))


async def _refuse_address(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    headers = dict(error.headers or {})
    if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        headers["Allow"] = ", ".join(_methods_at(request)) or headers.get("Allow", "")
        if request.method == "OPTIONS":
            return Response(status_code=204, headers=headers)
        detail = f"This address takes {headers['Allow']}."
        return problem_response(METHOD_NOT_ALLOWED.problem(detail), headers)
    if error.status_code == HTTPStatus.NOT_FOUND:
        detail = "Check the address; /openapi.json lists every one there is."
        return problem_response(NOT_FOUND.problem(detail), headers)
    kind = Kind("http-error", error.status_code, HTTPStatus(error.status_code).phrase)
    return problem_response(kind.problem(kind.title), headers)


def _methods_at(request: Request) -> list[str]:
    """Return every method that the address of `request` takes: each may have a route of its own."""
    taken = [
        method
        for method in METHODS
        if any(
            route.matches({**request.scope, "method": method})[0] is Match.FULL
            for route in request.app.router.routes
        )
    ]
    return [*taken, "HEAD"] if "GET" in taken else taken


async def _refuse_gone(request: Request, error: Exception) -> Response:
    return problem_response(CLIENT_GONE.problem("The caller hung up before the body was complete."))
