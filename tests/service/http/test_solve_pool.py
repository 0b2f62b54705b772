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


class Held:
    """Work that goes on until it is let go, and that notes whose it was when it began."""

    def __init__(self) -> None:
        self.began: list[str] = []
        self.let_go = threading.Semaphore(0)

    def of(self, asker: str):
        def work(_: Deadline) -> None:
            self.began.append(asker)
            self.let_go.acquire(timeout=10)

        return work

    def asked(self, pool: SolvePool, asker: str) -> asyncio.Task:
        return asyncio.create_task(pool.run(self.of(asker), nobody_leaves(), asker))


def test_who_has_nothing_at_work_is_begun_at_once():
    """One caller has every worker and fills the queue; another's question begins all the same."""

    async def crowd() -> list[str]:
        pool, held = pool_of(2, 8), Held()
        greedy = [held.asked(pool, "greedy") for _ in range(9)]
        await asyncio.sleep(0.1)
        other = held.asked(pool, "other")
        await asyncio.sleep(0.1)
        began = list(held.began)
        held.let_go.release(20)
        await asyncio.gather(*greedy, other)
        pool.close()
        return began

    assert asyncio.run(crowd()) == ["greedy", "greedy", "other"]


def test_those_who_wait_take_turns():
    """However many questions two callers have waiting, a third's is not behind all of them."""

    async def crowd() -> list[str]:
        pool, held = pool_of(1, 20), Held()
        asked = [held.asked(pool, who) for who in ["first"] * 6 + ["second"] * 6 + ["third"] * 2]
        for _ in asked:
            await asyncio.sleep(0.02)
            held.let_go.release()
        await asyncio.gather(*asked)
        pool.close()
        return held.began

    began = asyncio.run(crowd())
    assert sorted(began) == ["first"] * 6 + ["second"] * 6 + ["third"] * 2
    assert began.index("third") <= 4


def test_a_full_queue_makes_room_for_who_has_less_in_it():
    """The newest questions of whoever has most are refused in place of a newcomer's first."""

    async def crowd() -> tuple[list[BaseException | None], BaseException | None]:
        pool, held = pool_of(1, 3), Held()
        greedy = [held.asked(pool, "greedy") for _ in range(4)]
        others = [held.asked(pool, "other") for _ in range(2)]
        await asyncio.sleep(0.1)
        refused = [task.exception() for task in greedy if task.done()]
        held.let_go.release(20)
        await asyncio.gather(*greedy, *others, return_exceptions=True)
        pool.close()
        return refused, others[1].exception()

    refused, second = asyncio.run(crowd())
    assert [type(one) for one in refused] == [Refused, Refused]
    assert second is None


def test_who_hangs_up_gives_the_place_back():
    """A question that nobody waits for any more holds no place in the queue."""

    async def crowd() -> int:
        pool, held = pool_of(1, 1), Held()
        first = held.asked(pool, "one")
        await asyncio.sleep(0.05)
        with pytest.raises(Refused, match="hung up"):
            await pool.run(held.of("one"), asyncio.sleep(0.05), "one")
        third = asyncio.create_task(pool.run(lambda _: 3, nobody_leaves(), "one"))
        await asyncio.sleep(0.05)
        held.let_go.release(20)
        await first
        answer = await third
        pool.close()
        return answer

    assert asyncio.run(crowd()) == 3
