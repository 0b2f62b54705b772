"""Serving: the app behind a socket, until it is told to stop; then what runs is finished."""

import socket
from collections.abc import Callable

import uvicorn

from service.app import create_app
from service.http.http_connection import HttpConnection
from service.logs import log_to_stderr
from service.migrations import upgrade
from service.settings import Settings

GRACE_SECONDS = 5
"""Beyond the deadline of a solve: enough to write an answer."""


class CannotListen(Exception):
    """The address is taken or not ours; its text says what to do."""


def serve(settings: Settings, announce: Callable[[str], None]) -> None:
    """Run the service; call `announce` with its address once it can answer.

    Raises DatabaseUnusable or CannotListen where it cannot start.
    """
    app = create_app(settings)
    upgrade(app.state.wiring.database)
    log_to_stderr()
    config = uvicorn.Config(
        app,
        http=HttpConnection,
        ws="none",
        log_config=None,
        access_log=False,
        server_header=False,
        limit_concurrency=settings.max_connections,
        timeout_keep_alive=settings.idle_seconds,
        timeout_graceful_shutdown=round(settings.solve_seconds) + GRACE_SECONDS,
    )
    with _listen(settings) as listener:
        _Server(config, announce, app.state.wiring.is_closing.set).run([listener])


class _Server(uvicorn.Server):
    """A server that says when it can answer, and when it will no longer."""

    def __init__(
        self,
        config: uvicorn.Config,
        announce: Callable[[str], None],
        note_closing: Callable[[], None],
    ) -> None:
        super().__init__(config)
        self._announce = announce
        self._note_closing = note_closing

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        for listener in sockets or ():
            host, port = listener.getsockname()[:2]
            self._announce(f"http://{f'[{host}]' if ':' in host else host}:{port}")

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._note_closing()
        await super().shutdown(sockets)


def _listen(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    try:
        listener = socket.create_server((settings.host, settings.port), family=family)
        # A socket that does not name TCP as its protocol is never told to send small packets at
        # once: each answer on a kept connection would wait 40 ms for an acknowledgement.
        listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP, listener.detach())
    except (OSError, OverflowError) as error:
        raise CannotListen(
            f"Cannot listen on {settings.host}, port {settings.port} ({error}). "
            "Choose another with --host and --port."
        ) from error
