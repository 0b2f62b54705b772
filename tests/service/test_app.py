"""The app as a whole: busy, out of time, not ready; and the same answer every time."""

import asyncio
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from service.app import create_app
from service.store.database import DatabaseUnusable
from tests.service.conftest import RunningApp
from tests.service.problem_checks import problem_in


async def nobody_leaves():
    await asyncio.Event().wait()


def test_a_full_queue_is_503_with_when_to_try_again(settings, lantern):
    """While every worker is busy and the queue is full, a request is refused at once."""
    held = threading.Event()
    with RunningApp(create_app(replace(settings, workers=1, queue_length=0))) as running:

        async def occupy() -> "asyncio.Task[bool]":
            pool = running.app.state.wiring.pool
            task = asyncio.create_task(pool.run(lambda _: held.wait(30), nobody_leaves()))
            await asyncio.sleep(0)
            return task

        busy = running.wait_for(occupy())
        answer = running.post("/v1/reformulations", json=lantern)
        held.set()
        running.wait_for(_finished(busy))
        assert problem_in(answer, 503)["type"] == "/problems/busy"
        assert int(answer.headers["retry-after"]) > 0
        assert running.post("/v1/reformulations", json=lantern).status_code == 200


async def _finished(task):
    await task


def test_a_deadline_that_strikes_is_an_answer(settings, lantern):
    """Out of time is 200 with the outcome "unfinished" and a bound on the cost."""
    with RunningApp(create_app(replace(settings, solve_seconds=0.0))) as hurried:
        answer = hurried.post("/v1/reformulations", json=lantern)
    assert answer.status_code == 200
    assert answer.json()["outcome"] == "unfinished"
    assert answer.json()["proof"] == {"status": "deadline", "bound": 0.0}


def test_a_service_that_cannot_solve_is_alive_but_not_ready(settings):
    """Where the rehearsal did not end well, /readyz says so and /livez does not mind."""
    with RunningApp(create_app(replace(settings, solve_seconds=0.0))) as hurried:
        assert hurried.get("/livez").json() == {"status": "ok"}
        answer = hurried.get("/readyz")
    assert problem_in(answer, 503)["type"] == "/problems/not-ready"
    assert "retry-after" in answer.headers


def test_a_service_whose_rehearsal_breaks_is_not_ready(settings, caplog):
    """A rehearsal that ends in an error is logged, and the service lives on to say so."""
    app = create_app(settings)
    app.state.wiring.pool.close()
    with RunningApp(app) as broken:
        problem_in(broken.get("/readyz"), 503)
    assert "the rehearsal failed" in caplog.text


def test_a_service_whose_database_is_gone_is_not_ready(settings, tmp_path):
    """A database that does not answer makes the service not ready."""
    url = f"sqlite:///{tmp_path}/nowhere/formhold.sqlite3"
    with RunningApp(create_app(replace(settings, database_url=url))) as running:
        assert "database" in problem_in(running.get("/readyz"), 503)["detail"]


def test_a_service_that_solves_is_ready(client):
    """A service that has solved its rehearsal and reaches its database is ready."""
    assert client.get("/readyz").json() == {"status": "ok"}


def test_a_wrong_database_address_is_refused_before_anything_starts(settings):
    """An address that cannot be read stops the app from being made."""
    with pytest.raises(DatabaseUnusable):
        create_app(replace(settings, database_url="nonsense"))


def test_the_front_door_points_on(client):
    """The root names the addresses to begin with, and they exist."""
    home = client.get("/", headers={"Accept": "application/json"}).json()
    assert client.get(home["openapi"]).status_code == 200
    assert client.get(home["health"]).status_code == 200


def test_a_crowd_gets_the_answers_of_one(client, lantern):
    """Briefs solved side by side get the same bytes as one after another."""
    briefs = [{**lantern, "window": {"flour_to_fat": {"min": 2 + i / 20}}} for i in range(8)]

    def answer(brief):
        return client.post("/v1/reformulations", json=brief).content

    with ThreadPoolExecutor(8) as crowd:
        together = list(crowd.map(answer, briefs))
    assert together == [answer(brief) for brief in briefs]


def test_two_apps_answer_alike_to_the_byte(client, settings, lantern):
    """The same brief gets the same bytes from another instance."""
    with RunningApp(create_app(settings)) as other:
        theirs = other.post("/v1/reformulations", json=lantern).content
    assert client.post("/v1/reformulations", json=lantern).content == theirs
