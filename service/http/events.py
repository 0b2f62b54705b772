"""Events: how far a run has come, told as it goes, until it is over or the caller hangs up.

The form is that of server-sent events (HTML Living Standard, 9.2). Each event holds the whole run,
so that one who comes late or comes back has missed nothing.
"""

import asyncio
import time
from collections.abc import AsyncIterator, Callable

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response, StreamingResponse

from models.run import Run
from service.store.database import DatabaseUnusable
from service.store.refusals import NotThere

LOOK_EVERY_SECONDS = 1.0
SAY_SOMETHING_EVERY_SECONDS = 15.0
"""Proxies give up on a connection over which nothing comes."""

_HEADERS = {
    "Cache-Control": "no-store",
    "X-Accel-Buffering": "no",  # a proxy that gathers events would tell them all at the end
}


def tell_events(
    run: Run, find: Callable[[], Run], seen: str | None, is_closing: Callable[[], bool]
) -> Response:
    """Return a stream of how `run` comes on, as `find` finds it.

    A caller who comes back with the id of an event that was `seen` hears no more of that one; after
    any other id, of this run or none, the stream begins with how things stand. To one who has seen
    the last event there is nothing left to say: 204, which ends a browser's asking again.
    """
    if run.is_over and seen == _name(run):
        return Response(status_code=204, headers=_HEADERS)
    events = _events(run, find, seen, is_closing)
    return StreamingResponse(events, headers=_HEADERS, media_type="text/event-stream")


async def _events(
    run: Run, find: Callable[[], Run], seen: str | None, is_closing: Callable[[], bool]
) -> AsyncIterator[bytes]:
    if seen != _name(run):
        yield _event(run)
    said_at = time.monotonic()
    while not run.is_over and not is_closing():
        await asyncio.sleep(LOOK_EVERY_SECONDS)
        before = run
        try:
            run = await run_in_threadpool(find)
        except NotThere:  # deleted meanwhile: to whoever asks again it is not there
            return
        except DatabaseUnusable:  # it may be back in a moment
            pass
        if (run.state, run.done) != (before.state, before.done):
            yield _event(run)
        elif time.monotonic() - said_at >= SAY_SOMETHING_EVERY_SECONDS:
            yield b": still here\n\n"
        else:
            continue
        said_at = time.monotonic()


def _event(run: Run) -> bytes:
    kind = "end" if run.is_over else "progress"
    return f"id: {_name(run)}\nevent: {kind}\ndata: {run.model_dump_json()}\n\n".encode()


def _name(run: Run) -> str:
    return f"{run.state}-{run.done}"
