"""One who takes chunks from the queue on PostgreSQL: a machine, with as many processes as it lends.

It needs nothing but the database's address. While it lives it says so every few seconds; whoever
falls silent has its chunks given to others, and a database that goes away is waited for.
"""

import asyncio
import logging
import queue
import threading
import time
from contextlib import suppress

from procrastinate import App, PsycopgConnector, RetryStrategy
from procrastinate.exceptions import ConnectorException
from procrastinate.worker import Worker

from service.runs.processes import ChunkFailed, Orders, ProcessDied, SolverProcess
from service.store.database import CONNECT_SECONDS, Database
from service.store.runs import Chunk

SOLVE_CHUNK = "solve_chunk"
"""What the queue's jobs are called."""

PAUSE_SECONDS = 1.0
"""Between tries where the database does not answer, and between looks at an empty queue."""
_SIGNS_OF_LIFE = 4
"""How often a worker says that it lives in the time after which it counts as dead."""

log = logging.getLogger("formhold.runs")


class QueueWorker:
    """Solves chunks that wait in the queue, until it is stopped."""

    def __init__(
        self, database: Database, processes: int, solve_seconds: float, stalled_seconds: float
    ) -> None:
        """Make ready; nothing is started yet."""
        url = database.url
        self._orders = Orders(url.render_as_string(hide_password=False), solve_seconds)
        self._address = url.set(drivername="postgresql").render_as_string(hide_password=False)
        self._processes = processes
        self._stalled_seconds = stalled_seconds
        self._solvers = [SolverProcess(self._orders) for _ in range(processes)]
        self._free: queue.SimpleQueue[SolverProcess] = queue.SimpleQueue()
        self._stopping = threading.Event()
        self._worker: Worker | None = None
        for solver in self._solvers:
            self._free.put(solver)

    def run(self) -> None:
        """Work until `stop` is called, which another thread may do."""
        while not self._stopping.is_set():
            try:
                asyncio.run(self._work())
            except ConnectorException as error:
                log.warning("the queue does not answer (%s); it is tried again", _reason(error))
            self._stopping.wait(PAUSE_SECONDS)
        for solver in self._solvers:
            solver.rest()

    def stop(self) -> None:
        """Stop between two recipes and keep what is done; wait for nothing."""
        self._stopping.set()
        for solver in self._solvers:
            solver.stop()
        if self._worker is not None:
            self._worker.stop()

    async def _work(self) -> None:
        app = self._app()
        async with app.open_async():
            self._worker = Worker(
                app,
                concurrency=self._processes,
                fetch_job_polling_interval=PAUSE_SECONDS,
                listen_notify=False,  # a lost connection would end it without a word
                delete_jobs="successful",
                install_signal_handlers=False,
                stalled_worker_timeout=self._stalled_seconds,
            )
            minding = asyncio.create_task(self._mind(app, self._worker))
            try:
                await self._worker.run()
            finally:
                minding.cancel()
                with suppress(asyncio.CancelledError):
                    await minding

    async def _mind(self, app: App, worker: Worker) -> None:
        """Say every so often that we live, and take the chunks of those who no longer say so."""
        heard_at = time.monotonic()
        while True:
            if self._stopping.is_set():  # it may have been said before the worker could hear it
                worker.stop()
            await asyncio.sleep(self._stalled_seconds / _SIGNS_OF_LIFE)
            try:
                if worker.worker_id is not None:
                    await app.job_manager.update_heartbeat(worker.worker_id)
                if time.monotonic() - heard_at < self._stalled_seconds / 2:
                    await self._take_over(app)
                # Otherwise the database was away; the others too have yet to say that they live.
                heard_at = time.monotonic()
            except ConnectorException as error:
                log.warning("no sign of life could be given (%s)", _reason(error))

    async def _take_over(self, app: App) -> None:
        for job in await app.job_manager.get_stalled_jobs(
            seconds_since_heartbeat=self._stalled_seconds
        ):
            log.warning("job %s was left by a worker that fell silent", job.id)
            await app.job_manager.retry_job(job)

    def _app(self) -> App:
        connector = PsycopgConnector(
            conninfo=self._address,
            kwargs={"connect_timeout": CONNECT_SECONDS},
            min_size=1,
            max_size=self._processes + 2,
        )
        app = App(connector=connector)
        app.task(name=SOLVE_CHUNK, retry=RetryStrategy(wait=1))(self._solve_chunk)
        return app

    def _solve_chunk(self, run_id: str, first: int, last: int) -> None:
        """Have a chunk solved, however often the database goes away meanwhile."""
        solver = self._free.get()
        try:
            while True:
                try:
                    return solver.work_through(Chunk(run_id, first, last))
                except ChunkFailed as error:
                    log.warning("positions %d to %d of run %s: %s", first, last, run_id, error)
                if self._stopping.wait(PAUSE_SECONDS):
                    raise ProcessDied
        finally:
            self._free.put(solver)


def _reason(error: Exception) -> str:
    return str(error.__cause__ or error).splitlines()[0]
