"""The engine of several machines: chunks wait in a queue on PostgreSQL for whoever has a core free.

The queue (procrastinate's) only says who does what; what is done is in the run's own items, and
whatever the queue has lost is put into it again. The service takes part in the work itself unless
told to leave it to others; `service.runs.queue_worker` is one who takes part.
"""

import logging
import threading
import time

from procrastinate import SyncPsycopgConnector
from procrastinate.jobs import Job
from procrastinate.manager import JobManager

from service.runs.queue_worker import SOLVE_CHUNK, QueueWorker
from service.store.database import Connection, Database, DatabaseUnusable
from service.store.run_queue import driver, jobs_of, prepare_queue_tables, take_turn
from service.store.runs import Chunk, finish_if_complete, lacking_chunks, open_runs

PAUSE_SECONDS = 1.0
"""Between tries where the database does not answer."""
LOOK_EVERY_SECONDS = 5.0
STANDSTILL_SECONDS = 30.0
"""A run of which nothing waits and nothing comes for so long has lost its jobs: a recipe at work
takes less."""

_JOBS_AT_ONCE = 500

log = logging.getLogger("formhold.runs")


def prepare_queue(database: Database) -> None:
    """Make the queue's own tables, or bring them up to date; raise DatabaseUnusable."""
    is_behind = True
    while is_behind:
        with database.writing() as connection:
            take_turn(connection)
            is_behind = prepare_queue_tables(connection)


class QueueEngine:
    """Puts the chunks of open runs into the queue, and works on them with processes of its own."""

    def __init__(
        self, database: Database, processes: int, solve_seconds: float, stalled_seconds: float
    ) -> None:
        """Make ready; nothing is started yet."""
        self._database = database
        self._jobs = JobManager(SyncPsycopgConnector())  # it is lent our own connections
        self._worker = (
            QueueWorker(database, processes, solve_seconds, stalled_seconds) if processes else None
        )
        self._threads = [threading.Thread(target=self._keep_filled, name="run queue")]
        if self._worker is not None:
            self._threads.append(threading.Thread(target=self._take_part, name="run worker"))
        self._wanted, self._closing = threading.Event(), threading.Event()
        self._prepared = threading.Event()
        self._progress: dict[str, tuple[int, float]] = {}

    def start(self) -> None:
        """Go on with what was left over, and be ready for more; wait for nothing."""
        for thread in self._threads:
            thread.start()

    def wake(self) -> None:
        """See to the runs that have just been entered; wait for nothing."""
        self._wanted.set()

    def close(self) -> None:
        """Stop between two recipes and keep what is done."""
        self._closing.set()
        self._wanted.set()
        self._prepared.set()
        if self._worker is not None:
            self._worker.stop()
        for thread in self._threads:
            if thread.ident is not None:
                thread.join()

    def _take_part(self) -> None:
        """Work once the queue's tables are there; at the first start somebody has to make them."""
        assert self._worker is not None
        self._prepared.wait()
        self._worker.run()

    def _keep_filled(self) -> None:
        while not self._closing.is_set():
            self._wanted.clear()
            pause: float = LOOK_EVERY_SECONDS
            try:
                if not self._prepared.is_set():
                    prepare_queue(self._database)
                    self._prepared.set()
                self._fill()
            except DatabaseUnusable as error:
                log.warning("the runs wait: %s", error)
                pause = PAUSE_SECONDS
            self._wanted.wait(pause)

    def _fill(self) -> None:
        """Put what the open runs lack into the queue, unless it is waiting or being done."""
        with self._database.writing() as connection:
            take_turn(connection)
            for run_id, total in open_runs(connection):
                lacking = lacking_chunks(connection, run_id, total)
                if not lacking:
                    finish_if_complete(connection, run_id)
                elif self._has_lost_jobs(connection, run_id, lacking):
                    self._put(connection, lacking)

    def _has_lost_jobs(self, connection: Connection, run_id: str, lacking: list[Chunk]) -> bool:
        waiting, at_work = jobs_of(connection, run_id)
        known, since = self._progress.get(run_id, (-1, 0.0))
        done = -len(lacking)
        if done != known:
            since = time.monotonic()
            self._progress[run_id] = done, since
        stands_still = time.monotonic() - since > STANDSTILL_SECONDS
        return waiting == 0 and (at_work == 0 or stands_still)

    def _put(self, connection: Connection, chunks: list[Chunk]) -> None:
        log.info("%d chunks of run %s are put into the queue", len(chunks), chunks[0].run_id)
        for at in range(0, len(chunks), _JOBS_AT_ONCE):
            jobs = [_job(chunk) for chunk in chunks[at : at + _JOBS_AT_ONCE]]
            self._jobs.batch_defer_jobs(jobs, connection=driver(connection))


def _job(chunk: Chunk) -> Job:
    """Return the job of a chunk; the first of each run come first, so that no run waits long."""
    return Job(
        queue=chunk.run_id,
        priority=-chunk.first,
        lock=None,
        queueing_lock=None,
        task_name=SOLVE_CHUNK,
        task_kwargs=chunk._asdict(),
    )
