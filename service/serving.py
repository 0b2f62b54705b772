"""Serving: the socket, and the processes that answer on it, until they are told to stop.

One process answers by itself. Several are started from here and started again where one dies; the
runs are worked through here then, so that there is one engine however many answer.
"""

import logging
import multiprocessing
import signal
import socket
import time
from collections.abc import Callable
from dataclasses import replace
from math import ceil
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess

from service.app import run_engine
from service.logs import log_to_stderr
from service.migrations import upgrade
from service.process import READY, RUNS_ENTERED, address_of, answer_for, answer_on
from service.runs.engine import RunEngine
from service.settings import Settings
from service.store.database import Database

AGAIN_SECONDS = 1.0
"""Between two starts of a process, where it dies at once."""

log = logging.getLogger("formhold.service")


class CannotListen(Exception):
    """The address is taken or not ours; its text says what to do."""


def serve(settings: Settings, announce: Callable[[str], None]) -> None:
    """Run the service; call `announce` with its address once it can answer.

    Raises DatabaseUnusable or CannotListen where it cannot start.
    """
    database = Database(settings.database_url)
    upgrade(database)
    log_to_stderr()
    with _listen(settings) as listener:
        if settings.processes == 1:
            database.close()
            answer_on(listener, settings, announce)
        else:
            engine = run_engine(settings, database)
            _Starter(listener, settings, engine, announce).run()
            database.close()


class _Starter:
    """Starts the processes that answer, and lives as long as they do."""

    def __init__(
        self,
        listener: socket.socket,
        settings: Settings,
        runs: RunEngine,
        announce: Callable[[str], None],
    ) -> None:
        self._listener, self._settings, self._runs = listener, settings, runs
        self._announce = announce
        self._context = multiprocessing.get_context("forkserver")
        self._running: dict[Connection, BaseProcess] = {}
        self._not_ready = settings.processes

    def run(self) -> None:
        """Keep all of them running until told to stop; then let them finish what they do."""
        told, tells = self._context.Pipe(duplex=False)
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, lambda *_: tells.send(None))
        # Forked off a process that has imported everything, they start at once and share memory.
        self._context.set_forkserver_preload(["service.process"])
        try:
            for _ in range(self._settings.processes):
                self._start()
            self._runs.start()
            while told not in (heard := wait([told, *self._running])):
                for pipe in heard:
                    if isinstance(pipe, Connection):
                        self._hear(pipe)
        finally:
            self._stop()

    def _start(self) -> None:
        ours, theirs = self._context.Pipe()
        given = (theirs, self._listener, share_of(self._settings))
        process = self._context.Process(target=answer_for, args=given)
        process.start()
        theirs.close()
        self._running[ours] = process

    def _hear(self, pipe: Connection) -> None:
        try:
            said = pipe.recv()
        except (EOFError, OSError):
            self._replace(pipe)
            return
        if said == RUNS_ENTERED:
            self._runs.wake()
        elif said == READY and self._not_ready:
            self._not_ready -= 1
            if not self._not_ready:
                self._announce(address_of(self._listener))

    def _replace(self, pipe: Connection) -> None:
        process = self._running.pop(pipe)
        pipe.close()
        process.join()
        log.error("process %s died (%s); another is started", process.pid, process.exitcode)
        time.sleep(AGAIN_SECONDS)
        self._start()

    def _stop(self) -> None:
        for process in self._running.values():
            process.terminate()
        for process in self._running.values():
            process.join()
        self._runs.close()


def share_of(settings: Settings) -> Settings:
    """Return what one of the processes works by: its share of the solves, and of the queue."""
    return replace(
        settings,
        workers=ceil(settings.workers / settings.processes),
        queue_length=ceil(settings.queue_length / settings.processes),
    )


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
