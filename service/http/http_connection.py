"""A connection: HTTP/1.1 that gives up on dawdlers and refuses in problem documents.

The server we run on leaves a connection open for as long as someone drips a header into it, and
refuses in plain text. Everything else about HTTP is its business.
"""

import asyncio
from typing import Any, cast

import h11
from starlette.types import Receive, Scope, Send
from uvicorn.protocols.http.h11_impl import H11Protocol

from service.http.refusing import problem_response
from service.http.solve_pool import RETRY_AFTER_SECONDS
from service.problems import BUSY, MALFORMED_HTTP, MEDIA_TYPE


class HttpConnection(H11Protocol):
    """One connection; one more than the limit is answered 503 and closed."""

    def __init__(self, *given: Any, **named: Any) -> None:
        """Take a place among the connections."""
        super().__init__(*given, **named)
        self._giving_up: asyncio.TimerHandle | None = None
        self._refused = False
        most, self.limit_concurrency = self.limit_concurrency, None
        if most is not None and len(self.connections) >= most:
            self.app = cast(Any, refuse_as_busy)

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Expect a request before long."""
        self._line = transport
        super().connection_made(cast(Any, _Lingering(transport, self)))
        self._expect_request()

    def data_received(self, data: bytes) -> None:
        """Read on, and watch whether what comes ever makes a request."""
        if self._refused:
            return
        super().data_received(data)
        if self._is_answering():
            self._stop_waiting()
        else:
            self._expect_request()

    def connection_lost(self, exc: Exception | None) -> None:
        """Watch no more."""
        self._stop_waiting()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:
        """Answer bytes that are no HTTP, and hear the caller out."""
        body = MALFORMED_HTTP.problem(f"{msg} Check its lines, its headers and its length.")
        headers = [("Content-Type", MEDIA_TYPE), ("Connection", "close")]
        for event in (
            h11.Response(status_code=400, headers=headers, reason=b"Bad Request"),
            h11.Data(data=body.model_dump_json().encode()),
            h11.EndOfMessage(),
        ):
            self.transport.write(self.conn.send(event) or b"")
        self.hear_out()

    def is_still_sent(self) -> bool:
        """Tell whether the caller is in the middle of a body that nobody reads any more."""
        return not self._refused and self.conn.their_state is h11.SEND_BODY

    def hear_out(self) -> None:
        """Say no more, let what still comes fall, and hang up once the caller does or dawdles."""
        self._refused = True
        self._line.resume_reading()
        self._line.write_eof()
        self._expect_request()

    def _is_answering(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete

    def _expect_request(self) -> None:
        if self._giving_up is None:
            self._giving_up = self.loop.call_later(self.timeout_keep_alive, self._give_up)

    def _stop_waiting(self) -> None:
        if self._giving_up is not None:
            self._giving_up.cancel()
            self._giving_up = None

    def _give_up(self) -> None:
        self._giving_up = None
        if not self._is_answering():
            self._line.close()


class _Lingering:
    """A transport that is closed under a caller who still sends only once the caller was heard out.

    Hanging up at once would reset them, and the answer (413 to a long body, say) would be lost.
    """

    def __init__(self, line: asyncio.Transport, connection: HttpConnection) -> None:
        self._line, self._connection = line, connection
        self._closing = False

    def __getattr__(self, name: str) -> Any:
        return getattr(self._line, name)

    def is_closing(self) -> bool:
        return self._closing or self._line.is_closing()

    def close(self) -> None:
        self._closing = True
        if self._connection.is_still_sent() and not self._line.is_closing():
            self._connection.hear_out()
        else:
            self._line.close()


async def refuse_as_busy(scope: Scope, receive: Receive, send: Send) -> None:
    """Answer that there is no place for another connection."""
    headers = {"Retry-After": str(RETRY_AFTER_SECONDS), "Connection": "close"}
    problem = BUSY.problem("Too many connections are open; please try again.")
    await problem_response(problem, headers)(scope, receive, send)
