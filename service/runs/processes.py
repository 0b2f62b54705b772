"""Processes that solve chunks: one for each core, each with a thread here that waits for it.

Much of a solve is arithmetic in Python, which threads would do one at a time. A process that dies
takes only its chunk along: it is replaced, and the chunk's recipes are tried one by one, so that
a recipe over which processes die stops nothing but itself.
"""

import logging
import multiprocessing
import queue
import signal
import threading
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import NamedTuple

from service.logs import log_to_stderr
from service.runs.chunks import give_up_on, run_chunk
from service.store.database import Database, DatabaseUnusable
from service.store.runs import Chunk

STOPPING_SECONDS = 5.0
"""How long a process may take to keep what it has done; then it is ended."""

log = logging.getLogger("formhold.runs")


class ProcessDied(Exception):
    """The process ended before its chunk did."""


class ChunkFailed(Exception):
    """The chunk could not be ended; it may go better later. The text says why."""


class Orders(NamedTuple):
    """What a process needs to know: the database's address, and how long a recipe may take."""

    database_url: str
    solve_seconds: float


class SolverProcess:
    """A process that solves chunks, started with the first one; used by one thread at a time."""

    def __init__(self, orders: Orders) -> None:
        """Remember the orders."""
        self._orders = orders
        self._running: tuple[multiprocessing.process.BaseProcess, Connection] | None = None
        self._stopped = threading.Event()

    def work_through(self, chunk: Chunk) -> None:
        """Have `chunk` solved; raise ChunkFailed, or ProcessDied once stopped."""
        try:
            self._solve(chunk)
        except ProcessDied:
            if self._stopped.is_set():
                raise
            log.warning("a process died over %s; its recipes are tried one by one", chunk)
            for one in chunk.one_by_one():
                self._try_again(one)

    def rest(self) -> None:
        """End the process, whatever it is doing, once it has kept what is done.

        The next chunk starts another.
        """
        running, self._running = self._running, None
        if running is not None:
            process, pipe = running
            pipe.close()
            process.join(STOPPING_SECONDS)
            process.kill()
            process.join()
            process.close()

    def stop(self) -> None:
        """Start no process from now on, and have the one at work come to its end; wait for neither.

        May be called from another thread than the one that works.
        """
        self._stopped.set()
        running = self._running
        if running is not None:
            with suppress(OSError):  # it has ended by itself, or `rest` has ended it
                running[1].send(None)

    def _try_again(self, one: Chunk) -> None:
        try:
            self._solve(one)
        except ProcessDied:
            if self._stopped.is_set():
                raise
            log.error("a process died over %s alone; it is given up", one)
            database = Database(self._orders.database_url)
            try:
                give_up_on(database, one)
            finally:
                database.close()

    def _solve(self, chunk: Chunk) -> None:
        try:
            pipe = self._pipe()
            pipe.send(chunk)
            failure = pipe.recv()
        except (EOFError, OSError):
            self.rest()
            raise ProcessDied from None
        if failure is not None:
            raise ChunkFailed(failure)

    def _pipe(self) -> Connection:
        if self._stopped.is_set():
            raise EOFError
        if self._running is None:
            context = _context()
            ours, theirs = context.Pipe()
            process = context.Process(target=_serve, args=(theirs, self._orders), daemon=True)
            process.start()
            theirs.close()
            self._running = process, ours
        return self._running[1]


def _context() -> multiprocessing.context.ForkServerContext:
    """Return how processes are started: forked off a small one that has imported everything.

    Forking the service itself would copy its threads' locks; starting anew would take a second.
    """
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__])
    return context


def _serve(pipe: Connection, orders: Orders) -> None:
    """Solve chunks for as long as whoever sends them is there, and lets us."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # our starter's business
    log_to_stderr()
    stopping = threading.Event()
    chunks: queue.SimpleQueue[Chunk | None] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(pipe, chunks, stopping), daemon=True).start()
    database = Database(orders.database_url)
    while (chunk := chunks.get()) is not None:
        failure: str | None = None
        try:
            run_chunk(database, chunk, orders.solve_seconds, stopping.is_set)
        except DatabaseUnusable as error:
            failure = str(error)
        except Exception as error:
            log.exception("%s failed", chunk)
            failure = type(error).__qualname__  # its words may quote a recipe
        if stopping.is_set():
            break
        pipe.send(failure)
    database.close()


def _listen(
    pipe: Connection, chunks: "queue.SimpleQueue[Chunk | None]", stopping: threading.Event
) -> None:
    """Pass on what is sent, and stop when told to, or when our starter is gone."""
    with suppress(EOFError, OSError):
        while (chunk := pipe.recv()) is not None:
            chunks.put(chunk)
    stopping.set()
    chunks.put(None)
