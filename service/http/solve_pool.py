"""The solve pool: as many solves at a time as there are cores, a short queue, a deadline for each.

The solver lets go of the interpreter's lock while it works, so threads are enough. The pool is
shared out by who asks: those who wait take turns, whoever has nothing at work is begun at once, and
where the queue is full the newest of whoever has most in it makes room. One request more than that
is refused at once: waiting would only make everyone late.
"""

import asyncio
import threading
from collections import Counter, OrderedDict, deque
from collections.abc import Callable, Coroutine
from concurrent.futures import Future, ThreadPoolExecutor, wait
from functools import partial
from typing import Any, NamedTuple, TypeVar

from service.deadline import Deadline
from service.problems import BUSY, CLIENT_GONE, Refused
from service.settings import Settings

RETRY_AFTER_SECONDS = 2
"""Most solves take a fraction of this."""

Result = TypeVar("Result")

THE_SERVICE = ""
"""Who asks where nobody does: the service itself."""


class _Job(NamedTuple):
    asker: str
    work: Callable[[Deadline], Any]
    deadline: Deadline
    future: "Future[Any]"


class SolvePool:
    """Workers for everything that takes more than a moment."""

    def __init__(self, settings: Settings) -> None:
        """Make room for the workers; they start with the first request."""
        self._solve_seconds = settings.solve_seconds
        self._workers, self._queue_length = settings.workers, settings.queue_length
        self._most_at_work = self._workers + min(self._workers, max(self._queue_length, 0))
        self._executor = ThreadPoolExecutor(self._most_at_work, thread_name_prefix="solve")
        self._lock = threading.Lock()
        self._at_work: Counter[str] = Counter()
        self._waiting: OrderedDict[str, deque[_Job]] = OrderedDict()

    async def run(
        self,
        work: Callable[[Deadline], Result],
        gone: Coroutine[Any, Any, None],
        asker: str = THE_SERVICE,
    ) -> Result:
        """Return what `work` returns, done for `asker` by a worker within the deadline.

        Raises Refused where the queue is full, or where `gone`, which waits for the caller to hang
        up, ends first; the work is then told that no time is left.
        """
        deadline = Deadline(self._solve_seconds)
        watch = asyncio.create_task(gone)
        try:
            running = asyncio.wrap_future(self._accept(_Job(asker, work, deadline, Future())))
            either: tuple[asyncio.Future[Any], ...] = (running, watch)
            await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
            if not running.done():
                running.cancel()
                raise Refused(CLIENT_GONE, "The caller hung up before the answer was ready.")
            result: Result = running.result()
            return result
        finally:
            watch.cancel()
            deadline.strike()  # whoever stopped waiting, no worker goes on for them

    def queued(self) -> int:
        """Return how many wait."""
        return sum(len(jobs) for jobs in self._waiting.copy().values())

    def at_work(self) -> int:
        """Return how many are being answered."""
        return self._at_work.total()

    def close(self) -> None:
        """Finish what was accepted, then let the workers go."""
        with self._lock:
            waiting = [job.future for jobs in self._waiting.values() for job in jobs]
        wait(waiting)
        self._executor.shutdown(wait=True)

    def _accept(self, job: _Job) -> "Future[Any]":
        with self._lock:
            displaced = None
            if self._at_work.total() + self.queued() >= self._workers + self._queue_length:
                displaced = self._displaced_by(job.asker)
                if displaced is None:
                    raise _busy()
            if self._may_start(job.asker):
                self._start(job)
            else:
                self._waiting.setdefault(job.asker, deque()).append(job)
        job.future.add_done_callback(lambda _: self._forget(job))
        if displaced is not None and displaced.future.set_running_or_notify_cancel():
            displaced.future.set_exception(_busy())
        return job.future

    def _forget(self, job: _Job) -> None:
        """Give the place of a job that nobody waits for any more to somebody else."""
        with self._lock:
            jobs = self._waiting.get(job.asker, deque())
            if job in jobs:
                self._taken(job.asker, jobs.index(job))

    def _may_start(self, asker: str) -> bool:
        """Tell whether there is a worker free, or one to spare for who has nothing at work."""
        busy = self._at_work.total()
        return busy < self._workers or (busy < self._most_at_work and not self._at_work[asker])

    def _displaced_by(self, asker: str) -> _Job | None:
        """Take from the queue what makes room for `asker`, None where that would not be fairer."""
        greediest = max(self._waiting, key=self._has, default=None)
        if greediest is None or self._has(greediest) <= self._has(asker) + 1:
            return None
        return self._taken(greediest, -1)

    def _has(self, asker: str) -> int:
        """Return how many places are taken by `asker`."""
        return self._at_work[asker] + len(self._waiting.get(asker, ()))

    def _taken(self, asker: str, at: int) -> _Job:
        jobs = self._waiting[asker]
        job = jobs[at]
        del jobs[at]
        if not jobs:
            del self._waiting[asker]
        return job

    def _start(self, job: _Job) -> None:
        self._at_work[job.asker] += 1
        self._executor.submit(self._do, job)

    def _do(self, job: _Job) -> None:
        tell: Callable[[], None] | None = None
        try:
            if job.future.set_running_or_notify_cancel():
                tell = partial(job.future.set_result, job.work(job.deadline))
        except BaseException as error:
            tell = partial(job.future.set_exception, error)
        with self._lock:
            self._at_work -= Counter({job.asker: 1})
            self._start_who_may()
        if tell is not None:  # after the place was given back: who is answered may ask again
            tell()

    def _start_who_may(self) -> None:
        """Start whoever's turn it is; whoever had a turn goes to the end of the line."""
        while (asker := next(filter(self._may_start, self._waiting), None)) is not None:
            self._start(self._taken(asker, 0))
            if asker in self._waiting:
                self._waiting.move_to_end(asker)


def _busy() -> Refused:
    return Refused(
        BUSY,
        "Every worker is busy and the queue is full; please try again.",
        headers={"Retry-After": str(RETRY_AFTER_SECONDS)},
    )
