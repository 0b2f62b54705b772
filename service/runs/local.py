"""The engine of one machine: as many processes as it may use, handing themselves the chunks.

It keeps no list of its own that could be lost: what is to do is what the database lacks, asked
anew whenever that may have changed. The engine of several machines is `service.runs.postgres`.
"""

import logging
import threading
from collections import deque
from collections.abc import Iterable
from itertools import chain, zip_longest

from service.runs.processes import ChunkFailed, Orders, ProcessDied, SolverProcess
from service.store.database import Database, DatabaseUnusable
from service.store.runs import Chunk, finish_if_complete, lacking_chunks, open_runs

PAUSE_SECONDS = 1.0
"""Between tries where the database does not answer."""

log = logging.getLogger("formhold.runs")


class LocalEngine:
    """Works through the open runs of one database, which no other engine works through."""

    def __init__(self, database: Database, processes: int, solve_seconds: float) -> None:
        """Make ready; nothing is started yet."""
        orders = Orders(database.url.render_as_string(hide_password=False), solve_seconds)
        self._database = database
        self._solvers = [SolverProcess(orders) for _ in range(processes)]
        self._threads = [
            threading.Thread(target=self._work, args=(solver,), name=f"run {number}")
            for number, solver in enumerate(self._solvers)
        ]
        self._changed = threading.Condition()
        self._plan: deque[Chunk] = deque()
        self._at_work: set[Chunk] = set()
        self._plan_is_old = True
        self._closing = False

    def start(self) -> None:
        """Go on with what was left over, and be ready for more; wait for nothing."""
        for thread in self._threads:
            thread.start()

    def wake(self) -> None:
        """See to the runs that have just been entered; wait for nothing."""
        with self._changed:
            self._plan_is_old = True
            self._changed.notify_all()

    def close(self) -> None:
        """Stop between two recipes and keep what is done."""
        with self._changed:
            self._closing = True
            self._changed.notify_all()
        for solver in self._solvers:
            solver.stop()
        for thread in self._threads:
            if thread.ident is not None:
                thread.join()

    def _work(self, solver: SolverProcess) -> None:
        while (chunk := self._next_chunk(solver)) is not None:
            try:
                solver.work_through(chunk)
            except ProcessDied:
                pass  # we are closing
            except (ChunkFailed, DatabaseUnusable) as error:
                log.warning("%s is put off: %s", chunk, error)
                self._pause()
            finally:
                self._put_down(chunk)
        solver.rest()

    def _next_chunk(self, solver: SolverProcess) -> Chunk | None:
        """Wait for a chunk to work on; return None when it is time to go."""
        with self._changed:
            while not self._closing:
                if self._plan_is_old:
                    self._make_plan()
                elif self._plan:
                    chunk = self._plan.popleft()
                    self._at_work.add(chunk)
                    return chunk
                else:
                    if not self._at_work:
                        solver.rest()  # there may be nothing to do for days
                    self._changed.wait()
        return None

    def _put_down(self, chunk: Chunk) -> None:
        with self._changed:
            self._at_work.discard(chunk)
            # Only the database knows whether that was the last of it, and went well.
            self._plan_is_old = self._plan_is_old or not self._plan
            self._changed.notify_all()

    def _make_plan(self) -> None:
        try:
            with self._database.writing() as connection:
                lacking = []
                for run_id, total in open_runs(connection):
                    chunks = lacking_chunks(connection, run_id, total)
                    if not chunks:
                        finish_if_complete(connection, run_id)
                    lacking.append([c for c in chunks if c not in self._at_work])
        except DatabaseUnusable as error:
            log.warning("the runs wait: %s", error)
            self._changed.wait(PAUSE_SECONDS)
            return
        self._plan = deque(in_turns(lacking))
        self._plan_is_old = False

    def _pause(self) -> None:
        with self._changed:
            if not self._closing:
                self._changed.wait(PAUSE_SECONDS)


def in_turns(lists: Iterable[Iterable[Chunk]]) -> list[Chunk]:
    """Return the first of each list, then the second of each, so that no run waits for another."""
    return [chunk for chunk in chain.from_iterable(zip_longest(*lists)) if chunk is not None]
