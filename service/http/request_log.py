"""One line in the log for every request, an id that ties it to its answer, and safe headers.

Every request is counted, too.

What a request holds is nobody's business: no body and no address as typed is ever written down.
"""

import logging
import re
import time
import uuid

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from structlog.contextvars import bind_contextvars, clear_contextvars

from service.http.metrics import Metrics

log = logging.getLogger("formhold.requests")

REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")

SAFE_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
}
"""For answers that are read by programs; a page may bring its own policy."""


class RequestLog:
    """Number, time, log and count every request."""

    def __init__(self, app: ASGIApp, metrics: Metrics) -> None:
        """Stand in front of `app` and count in `metrics`."""
        self.app = app
        self._metrics = metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and log it once it is answered."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request_id = _request_id(Headers(scope=scope).get("x-request-id", ""))
        scope.setdefault("state", {})["request_id"] = request_id
        clear_contextvars()
        bind_contextvars(request_id=request_id)
        method, began, status = scope["method"], time.perf_counter(), 0

        async def send_with_headers(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                _add_headers(message, request_id)
            await send(message)

        try:
            await self.app(scope, receive, send_with_headers)
        finally:
            seconds = time.perf_counter() - began
            answered = _answered(method, _template(scope), status, seconds)
            log.info("request", extra={**answered, "request_id": request_id})
            self._metrics.count(method, _template(scope), status, seconds)


class HeadAsGet:
    """Answer HEAD as GET without the body."""

    def __init__(self, app: ASGIApp) -> None:
        """Stand in front of `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on."""
        if scope["type"] != "http" or scope["method"] != "HEAD":
            await self.app(scope, receive, send)
            return

        async def send_without_body(message: Message) -> None:
            if message["type"] == "http.response.body":
                message = {**message, "body": b""}
            await send(message)

        as_get = {**scope, "method": "GET"}
        await self.app(as_get, receive, send_without_body)
        if "route" in as_get:
            scope["route"] = as_get["route"]  # the log names it


def _answered(method: str, route: str, status: int, seconds: float) -> dict[str, object]:
    """Return what the log tells of a request besides its id; `status` 0 is no answer."""
    shown = method if method.isalpha() and len(method) < 10 else "?"
    duration = round(1000 * seconds, 1)
    return {"method": shown, "route": route, "status": status, "duration_ms": duration}


def _request_id(given: str) -> str:
    return given if REQUEST_ID.fullmatch(given) else uuid.uuid4().hex


def _template(scope: Scope) -> str:
    return getattr(scope.get("route"), "path", "-")


def _add_headers(message: Message, request_id: str) -> None:
    headers = MutableHeaders(scope=message)
    headers["X-Request-Id"] = request_id
    for name, value in SAFE_HEADERS.items():
        headers.setdefault(name, value)
