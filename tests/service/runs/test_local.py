"""The engine of one machine: it goes on where it was, takes turns, and outlives its processes."""

import multiprocessing
import threading
import time
from contextlib import contextmanager

import pytest

from service.runs.local import LocalEngine, in_turns
from service.store.callers import SINGLE_USER
from service.store.runs import Chunk, find_run
from tests.service.runs.conftest import RECIPES
from tests.service.runs.shop import assert_complete, enter, items_of, run_brief, stock


@contextmanager
def at_work(database, processes=2):
    engine = LocalEngine(database, processes, 10)
    engine.start()
    try:
        yield engine
    finally:
        engine.close()


def wait_until(database, run_id, reached):
    until = time.monotonic() + 60
    while time.monotonic() < until:
        with database.reading() as connection:
            run = find_run(connection, SINGLE_USER, run_id)
        if reached(run):
            return run
        time.sleep(0.02)
    raise AssertionError(f"the run came no further than {run}")


def is_over(run):
    return run.is_over


def kill_processes():
    for process in multiprocessing.active_children():
        process.kill()


def test_it_does_what_was_left_over(database, run_id):
    """A run that was entered before the engine started is worked through, and its processes go
    when there is nothing left to do."""
    others = set(multiprocessing.active_children())  # of services that other tests keep
    with at_work(database):
        assert wait_until(database, run_id, is_over).state == "finished"
        assert_complete(database, run_id, RECIPES)
        until = time.monotonic() + 20
        while set(multiprocessing.active_children()) - others and time.monotonic() < until:
            time.sleep(0.02)
        assert set(multiprocessing.active_children()) <= others


def test_it_does_what_comes_later(database):
    """An engine at rest takes a run when it is woken; a run over nothing is finished at once."""
    with at_work(database) as engine:
        time.sleep(0.1)
        some, none = (enter(database, run_brief(stock(database, count))) for count in (25, 0))
        engine.wake()
        assert wait_until(database, some, is_over).state == "finished"
        assert wait_until(database, none, is_over).total == 0


def test_closed_in_the_middle_it_goes_on_later(database, run_id):
    """What is done when it is closed is kept; the next engine does the rest."""
    with at_work(database):
        done = wait_until(database, run_id, lambda run: run.done > 0).done
    kept = len(items_of(database, run_id))
    assert done <= kept <= RECIPES
    with at_work(database):
        assert wait_until(database, run_id, is_over).state == "finished"
    assert_complete(database, run_id, RECIPES)


def test_a_process_that_dies_is_replaced(database, run_id):
    """Processes are killed while they work; the run ends as if nothing had happened."""
    with at_work(database):
        wait_until(database, run_id, lambda run: run.done > 0)
        kill_processes()
        assert wait_until(database, run_id, is_over).state == "finished"
    assert_complete(database, run_id, RECIPES)


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
def test_a_recipe_over_which_processes_die_is_given_up(database):
    """Where every process dies, each recipe is tried by two, told as failed, and the run ends."""
    run_id = enter(database, run_brief(stock(database, 2)))
    is_done = threading.Event()

    def keep_killing():
        while not is_done.is_set():
            kill_processes()
            time.sleep(0.001)

    killer = threading.Thread(target=keep_killing)
    killer.start()
    try:
        with at_work(database, processes=1):
            assert wait_until(database, run_id, is_over).outcomes["failed"] == 2
    finally:
        is_done.set()
        killer.join()


def test_runs_take_turns():
    """The first chunk of each run comes first, then the second of each."""
    first, second = ([Chunk(run, i, i + 1) for i in range(n)] for run, n in (("a", 3), ("b", 2)))
    order = [(chunk.run_id, chunk.first) for chunk in in_turns([first, second])]
    assert order == [("a", 0), ("b", 0), ("a", 1), ("b", 1), ("a", 2)]
