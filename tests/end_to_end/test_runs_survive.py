"""Runs under kill -9 and without their database: every recipe once, and the answers the same."""

import os
import random
import signal
import subprocess
import sys
import time
from contextlib import contextmanager, suppress
from pathlib import Path

import psycopg
import pytest

from service.store.callers import SINGLE_USER
from service.store.database import DatabaseUnusable
from service.store.runs import find_run
from tests.service.databases import SERVER, fresh_database
from tests.service.runs.shop import assert_complete, shop_with_run

PATIENCE_SECONDS = 120
KILLS = 20 if os.environ.get("FORMHOLD_REQUIRE_POSTGRES") == "1" else 5
"""Twenty where everything is checked; five on a user's machine, which has better things to do."""

MAY_RESTART_POSTGRES = os.environ.get("FORMHOLD_MAY_RESTART_POSTGRES") == "1"


@contextmanager
def started(folder, *arguments):
    """Yield a process of the command line with a group of its own, and end the whole group."""
    command = [sys.executable, "-m", "service", *arguments]
    with (Path(folder) / "log").open("a") as log:
        process = subprocess.Popen(command, stdout=log, stderr=log, start_new_session=True)
        try:
            yield process
        finally:
            end(process)


def end(process):
    """Kill the process and everything that it has started, if it is still there."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def serving(url, *more):
    return ("serve", "--port", "0", "--database", url, "--stalled-seconds", "2", *more)


def working(url):
    return ("worker", "--database", url, "--stalled-seconds", "2", "--run-processes", "1")


def look(database, run_id):
    with database.reading() as connection:
        return find_run(connection, SINGLE_USER, run_id)


def wait_until(database, run_id, reached):
    """Wait until the run has come so far; a database that is away is waited for."""
    until = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < until:
        try:
            run = look(database, run_id)
        except DatabaseUnusable:
            run = None
        if run is not None and (run.is_over or reached(run)):
            return run
        time.sleep(0.05)
    raise AssertionError(f"the run came no further than {run}")


@pytest.mark.parametrize(
    ("kind", "kills", "recipes"), [("sqlite", KILLS, 60 * KILLS), ("postgresql", KILLS, 60 * KILLS)]
)
def test_a_run_survives_every_kill(kind, kills, recipes, tmp_path):
    """The service is killed again and again, at random moments and while items are being kept, at
    times with all its processes and at times alone. In the end every recipe has one item, and each
    is what it would have been undisturbed."""
    with fresh_database(kind, tmp_path) as url, shop_with_run(url, recipes) as (database, run_id):
        done = 0
        for kill in range(kills):
            with started(tmp_path, *serving(url)) as service:
                if kill % 3 == 0:
                    time.sleep(random.uniform(0.2, 1.0))  # as it starts, or at its first recipes
                else:
                    enough = done + random.randint(0, 10)
                    wait_until(database, run_id, lambda run: run.done > enough)  # noqa: B023
                if kill % 2 == 0:
                    end(service)
                else:
                    service.kill()
                    service.wait()
                    time.sleep(0.2)  # its processes notice by themselves
                run = look(database, run_id)
                assert run.done >= done, "what was kept is lost"
                assert run.state != "finished", "it was over too soon to be killed"
                done = run.done
        with started(tmp_path, *serving(url)):
            assert wait_until(database, run_id, lambda run: run.is_over).state == "finished"
        assert_complete(database, run_id, recipes)


def test_one_worker_does_what_a_killed_one_left(tmp_path):
    """Of two workers that know nothing but the database's address, one is killed at work; the
    other finishes everything, and each answer is what it would have been."""
    recipes = 120
    with (
        fresh_database("postgresql", tmp_path) as url,
        shop_with_run(url, recipes) as (database, run_id),
    ):
        with (
            started(tmp_path, *serving(url, "--run-processes", "0")),
            started(tmp_path, *working(url)) as doomed,
            started(tmp_path, *working(url)),
        ):
            wait_until(database, run_id, lambda run: run.done >= 20)
            end(doomed)
            assert look(database, run_id).state == "running"
            assert wait_until(database, run_id, lambda run: run.is_over).state == "finished"
        assert_complete(database, run_id, recipes)


@pytest.mark.parametrize("way", ["closed", "restarted"])
def test_a_run_waits_for_its_database(way, tmp_path):
    """The database goes away in the middle of a run: it takes no connections for a while, or its
    server is stopped and started again. The service and the worker find it again by themselves,
    and the run comes to its end."""
    if way == "restarted" and not MAY_RESTART_POSTGRES:
        pytest.skip("FORMHOLD_MAY_RESTART_POSTGRES=1 lets it stop the server")
    recipes = 120
    with (
        fresh_database("postgresql", tmp_path) as url,
        shop_with_run(url, recipes) as (database, run_id),
    ):
        with (
            started(tmp_path, *serving(url, "--run-processes", "1")) as service,
            started(tmp_path, *working(url)) as worker,
        ):
            wait_until(database, run_id, lambda run: run.done >= 20)
            with restarted() if way == "restarted" else closed(url.rpartition("/")[2]):
                time.sleep(3)
            assert wait_until(database, run_id, lambda run: run.is_over).state == "finished"
            assert (service.poll(), worker.poll()) == (None, None)
        assert_complete(database, run_id, recipes)


@contextmanager
def closed(name):
    """End every connection to a database, and let none come until the end of the block."""
    address = f"postgresql://{SERVER}/test"
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
        ending = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s"
        server.execute(ending, [name])
        yield
        server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")


@contextmanager
def restarted():
    """Stop the server at once, as a power cut does, and start it at the end of the block."""
    control_postgres("stop", "-m", "immediate")
    yield
    control_postgres("start")


def control_postgres(action, *more):
    [version] = [folder.name for folder in Path("/etc/postgresql").iterdir()]
    command = ["pg_ctlcluster", "--skip-systemctl-redirect", version, "main", action]
    subprocess.run([*command, *more], check=True, timeout=60)
