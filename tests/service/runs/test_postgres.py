"""The engine of several machines: what the queue loses is put back, and stopping loses nothing."""

import threading
import time

import pytest
from sqlalchemy import text

from service.runs.postgres import QueueEngine, prepare_queue
from service.store import run_queue
from service.store.database import Database
from tests.service.databases import fresh_database
from tests.service.runs.conftest import RECIPES
from tests.service.runs.shop import assert_complete
from tests.service.runs.test_local import is_over, wait_until

pytestmark = pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)


def waiting_jobs(database):
    with database.reading() as connection:
        return connection.scalar(text("SELECT count(*) FROM procrastinate_jobs"))


def test_the_queue_is_made_once(database):
    """Four who prepare the queue at the same time do not stand in each other's way."""
    makers = [threading.Thread(target=prepare_queue, args=(database,)) for _ in range(4)]
    for maker in makers:
        maker.start()
    for maker in makers:
        maker.join()
    assert waiting_jobs(database) == 0


def test_what_the_queue_has_lost_is_put_back(database, run_id, monkeypatch):
    """Without anyone to work, a run's chunks wait in the queue; taken out of it, they come back;
    and they do not wait twice."""
    monkeypatch.setattr("service.runs.postgres.LOOK_EVERY_SECONDS", 0.05)
    prepare_queue(database)
    engine = QueueEngine(database, 0, 10, 2)
    engine.start()
    try:
        for _ in range(2):
            until = time.monotonic() + 20
            while waiting_jobs(database) != 2 and time.monotonic() < until:
                time.sleep(0.02)
            time.sleep(0.2)
            assert waiting_jobs(database) == 2
            with database.writing() as connection:
                connection.execute(text("DELETE FROM procrastinate_jobs"))
    finally:
        engine.close()


def test_closed_in_the_middle_it_goes_on_later(database, run_id):
    """A service that takes part in the work stops between two recipes, and the next goes on at
    once; in the end the queue is empty."""
    for reached in (lambda run: run.done > 0, is_over):
        engine = QueueEngine(database, 2, 10, 2)
        engine.start()
        try:
            wait_until(database, run_id, reached)
        finally:
            began = time.monotonic()
            engine.close()
            assert time.monotonic() - began < 15
    assert_complete(database, run_id, RECIPES)


def queue_as_it_is(database):
    """Return the queue's columns, indexes and functions, as the server tells them."""
    asked = {
        "columns": "SELECT table_name || '.' || column_name || ' ' || udt_name "
        "FROM information_schema.columns WHERE table_name LIKE 'procrastinate%'",
        "indexes": "SELECT indexname FROM pg_indexes WHERE tablename LIKE 'procrastinate%'",
        "functions": "SELECT oid::regprocedure::text || md5(btrim(prosrc)) FROM pg_proc "
        "WHERE proname LIKE 'procrastinate%'",
    }
    with database.reading() as connection:
        return {
            what: set(connection.execute(text(query)).scalars()) for what, query in asked.items()
        }


def test_an_older_queue_is_brought_up_to_date(database, tmp_path, monkeypatch):
    """A queue that stands several of its versions back, a job in it, takes every step since, once;
    then it is what a new one is, and the job is still there."""
    with fresh_database("postgresql", tmp_path) as url:
        new = Database(url)
        prepare_queue(new)
        wanted = queue_as_it_is(new)
        new.close()
    early = [step for step in run_queue._steps().items() if step[0] < "03"]
    later = {name for name in run_queue._steps() if name >= "03"}
    assert len(early) > 20
    assert len(later) > 5
    for _, sql in early:
        with database.writing() as connection:
            run_queue.driver(connection).execute(sql)
    with database.writing() as connection:
        job = (
            "INSERT INTO procrastinate_jobs (queue_name, task_name) VALUES ('run_1', 'solve_chunk')"
        )
        connection.execute(text(job))
    monkeypatch.setattr(run_queue, "_STEP_BEFORE_NOTES", early[-1][0])
    for _ in range(2):
        prepare_queue(database)
    found = queue_as_it_is(database)
    assert found["columns"] == wanted["columns"]
    assert wanted["functions"] <= found["functions"]
    assert wanted["indexes"] <= found["indexes"]
    assert waiting_jobs(database) == 1
