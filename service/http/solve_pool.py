"""The solve pool: as many solves at a time as there are cores, a short queue, a deadline for each.

The solver lets go of the interpreter's lock while it works, so threads are enough. One request more
than the queue holds is refused at once: waiting would only make everyone late.
"""

import asyncio
import threading
from collections.abc import Callable, Coroutine
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any, TypeVar

from service.deadline import Deadline
from service.problems import BUSY, CLIENT_GONE, Refused
from service.settings import Settings

RETRY_AFTER_SECONDS = 2
"""Most solves take a fraction of this."""

Result = TypeVar("Result")


class SolvePool:
    """Workers for everything that takes more than a moment."""

    def __init__(self, settings: Settings) -> None:
        """Make room for the workers; they start with the first request."""
        self._solve_seconds = settings.solve_seconds
        self._executor = ThreadPoolExecutor(settings.workers, thread_name_prefix="solve")
        self._places = threading.BoundedSemaphore(settings.workers + settings.queue_length)

    async def run(
        self, work: Callable[[Deadline], Result], gone: Coroutine[Any, Any, None]
    ) -> Result:
        """Return what `work` returns, done by a worker within the deadline.

        Raises Refused where the queue is full, or where `gone`, which waits for the caller to hang
        up, ends first; the work is then told that no time is left.
        """
        deadline = Deadline(self._solve_seconds)
        watch = asyncio.create_task(gone)
        try:
            running = asyncio.wrap_future(self._accept(work, deadline))
            either: tuple[asyncio.Future[Any], ...] = (running, watch)
            await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
            if not running.done():
                running.cancel()
                raise Refused(CLIENT_GONE, "The caller hung up before the answer was ready.")
            return running.result()
        finally:
            watch.cancel()
            deadline.strike()  # whoever stopped waiting, no worker goes on for them

    def close(self) -> None:
        """Finish what was accepted, then let the workers go."""
        self._executor.shutdown(wait=True)

    def _accept(self, work: Callable[[Deadline], Result], deadline: Deadline) -> "Future[Result]":
        if not self._places.acquire(blocking=False):
            raise Refused(
                BUSY,
                "Every worker is busy and the queue is full; please try again.",
                headers={"Retry-After": str(RETRY_AFTER_SECONDS)},
            )
        future = self._executor.submit(work, deadline)
        future.add_done_callback(lambda _: self._places.release())
        return future
