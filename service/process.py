"""A process that answers: the app on a listening socket, until it is told to stop.

What it runs is finished then. How many there are, and who starts them, is `service.serving`.
"""

import os
import signal
import socket
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection

import uvicorn

from service.app import create_app
from service.http.http_connection import HttpConnection
from service.logs import log_to_stderr
from service.runs.engine import RunEngine
from service.settings import Settings

GRACE_SECONDS = 5
"""Beyond the deadline of a solve: enough to write an answer."""

SWITCH_SECONDS = 0.0005
"""How long a solve keeps the interpreter to itself while somebody else is waiting to be answered:
a tenth of what is usual. Each refusal and each look at /livez waits for it several times."""

READY, RUNS_ENTERED = "ready", "runs entered"
"""What a process tells whoever started it."""


def answer_on(
    listener: socket.socket,
    settings: Settings,
    announce: Callable[[str], None],
    runs: RunEngine | None = None,
) -> None:
    """Answer until told to stop; call `announce` with the address once answers can come.

    Who works through the runs is `runs`, an engine of its own where there is none.
    """
    sys.setswitchinterval(SWITCH_SECONDS)
    app = create_app(settings, runs)
    config = uvicorn.Config(
        app,
        http=HttpConnection,
        ws="none",
        log_config=None,
        access_log=False,
        server_header=False,
        forwarded_allow_ips=settings.trusted_proxies,
        limit_concurrency=settings.max_connections,
        timeout_keep_alive=settings.idle_seconds,
        timeout_graceful_shutdown=round(settings.solve_seconds) + GRACE_SECONDS,
    )
    _Server(config, announce, app.state.wiring.is_closing.set).run([listener])


def answer_for(starter: Connection, listener: socket.socket, settings: Settings) -> None:
    """Answer as one of several processes, for as long as `starter` is there."""
    log_to_stderr()
    threading.Thread(target=_leave_with, args=(starter,), daemon=True).start()
    answer_on(listener, settings, lambda _: starter.send(READY), _PassedOn(starter))


def address_of(listener: socket.socket) -> str:
    """Return where a listening socket is reached."""
    host, port = listener.getsockname()[:2]
    return f"http://{f'[{host}]' if ':' in host else host}:{port}"


class _PassedOn:
    """Runs that are worked through where the process was started."""

    def __init__(self, starter: Connection) -> None:
        self._starter = starter

    def start(self) -> None:
        """Nothing: what was left over is the starter's to know."""

    def wake(self) -> None:
        """Say that runs have been entered."""
        with suppress(OSError):  # the starter is gone, and so are we, soon
            self._starter.send(RUNS_ENTERED)

    def close(self) -> None:
        """Nothing: others may still enter runs."""


def _leave_with(starter: Connection) -> None:
    """Stop once the starter is gone."""
    with suppress(EOFError, OSError):
        starter.recv()
    os.kill(os.getpid(), signal.SIGTERM)


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
            self._announce(address_of(listener))

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._note_closing()
        await super().shutdown(sockets)
