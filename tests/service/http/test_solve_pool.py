"""The solve pool: bounded, with a deadline for each piece of work, and deaf callers let go."""

import asyncio
import threading

import pytest

from service.deadline import Deadline
from service.http.solve_pool import SolvePool
from service.problems import Refused
from service.settings import Settings


async def nobody_leaves():
    await asyncio.Event().wait()


def pool_of(workers: int, queue_length: int, solve_seconds: float = 10.0) -> SolvePool:
    return SolvePool(
        Settings(workers=workers, queue_length=queue_length, solve_seconds=solve_seconds)
    )


def test_work_is_done_within_the_deadline_that_it_is_told():
    """A worker gets a deadline that counts down from the configured seconds."""
    pool = pool_of(1, 0, solve_seconds=5)
    left = asyncio.run(pool.run(lambda deadline: deadline(), nobody_leaves()))
    pool.close()
    assert 4 < left <= 5


def test_waiting_in_the_queue_counts():
    """The deadline runs from acceptance: what waited has less time left."""

    async def two() -> float:
        pool = pool_of(1, 1, solve_seconds=5)
        held = threading.Event()
        first = asyncio.create_task(pool.run(lambda _: held.wait(5), nobody_leaves()))
        second = asyncio.create_task(pool.run(lambda deadline: deadline(), nobody_leaves()))
        await asyncio.sleep(0.3)
        held.set()
        await first
        left = await second
        pool.close()
        return left

    assert asyncio.run(two()) < 4.8


def test_a_full_queue_refuses_at_once():
    """One request more than workers and queue hold is refused, with when to try again."""

    async def three() -> Refused:
        pool = pool_of(1, 1)
        held = threading.Event()
        waiting = [
            asyncio.create_task(pool.run(lambda _: held.wait(5), nobody_leaves())) for _ in range(2)
        ]
        await asyncio.sleep(0)
        try:
            with pytest.raises(Refused) as refused:
                await pool.run(lambda _: None, nobody_leaves())
        finally:
            held.set()
            await asyncio.gather(*waiting)
            pool.close()
        return refused.value

    refused = asyncio.run(three())
    assert refused.problem.type == "/problems/busy"
    assert int(refused.headers["Retry-After"]) > 0


def test_places_are_given_back():
    """Work that ended, well or badly, leaves its place to the next."""

    async def many() -> int:
        pool = pool_of(1, 0)
        for _ in range(3):
            with pytest.raises(ZeroDivisionError):
                await pool.run(lambda _: 1 / 0, nobody_leaves())
        answer = await pool.run(lambda _: 42, nobody_leaves())
        pool.close()
        return answer

    assert asyncio.run(many()) == 42


def test_a_caller_who_hangs_up_stops_the_work():
    """Work whose caller is gone is told that no time is left."""
    seen: list[float] = []
    done = threading.Event()

    def work(deadline: Deadline) -> None:
        for _ in range(500):
            if not deadline():
                seen.append(deadline())
                break
            done.wait(0.01)
        done.set()

    async def leave() -> None:
        pool = pool_of(1, 0)
        with pytest.raises(Refused, match="hung up"):
            await pool.run(work, asyncio.sleep(0.05))
        pool.close()

    asyncio.run(leave())
    assert done.is_set()
    assert seen == [0.0]


def test_closing_finishes_what_was_accepted():
    """Closing the pool waits for running work."""
    finished = []

    async def close_while_running() -> None:
        pool = pool_of(1, 0)
        running = asyncio.create_task(
            pool.run(lambda _: finished.append(threading.Event().wait(0.2)), nobody_leaves())
        )
        await asyncio.sleep(0.05)
        await asyncio.to_thread(pool.close)
        await running

    asyncio.run(close_while_running())
    assert finished == [False]
