"""Events: what a caller hears while a run goes on, however long that takes."""

import asyncio
from datetime import UTC, datetime

import pytest

from models.run import Run
from service.http import events
from service.store.database import DatabaseUnusable
from service.store.refusals import NotThere


def run_at(done, state="running"):
    return Run(
        id="run_x",
        title=None,
        revision=1,
        catalogue_id="cat_x",
        brief={"catalogue_id": "cat_x"},
        state=state,
        total=3,
        done=done,
        outcomes={},
        recipes_per_second=None,
        seconds_left=None,
        created_at=datetime.now(UTC),
        started_at=None,
        finished_at=None,
    )


class Looks:
    """A run as it is found, look by look; an exception where it cannot be looked at."""

    def __init__(self, *found):
        self.found = list(found)

    def __call__(self):
        found = self.found.pop(0)
        if isinstance(found, Exception):
            raise found
        return found


def heard(first, looks, is_closing=lambda: False, seen=None):
    """Return the kinds of what is told, in order."""

    async def listen():
        answer = events.tell_events(first, looks, seen, is_closing)
        return [piece.decode() async for piece in answer.body_iterator]

    return [piece.split("event: ")[-1].split("\n")[0] for piece in asyncio.run(listen())]


@pytest.fixture(autouse=True)
def without_waiting(monkeypatch):
    monkeypatch.setattr(events, "LOOK_EVERY_SECONDS", 0.001)


def test_each_step_is_told_once():
    """Nothing is said where nothing has changed; the end is told and ends the stream."""
    looks = Looks(run_at(1), run_at(1), run_at(2), run_at(3, "finished"))
    assert heard(run_at(1), looks) == ["progress", "progress", "end"]
    assert looks.found == []


def test_a_silence_is_broken(monkeypatch):
    """A run that stands still is heard of all the same."""
    monkeypatch.setattr(events, "SAY_SOMETHING_EVERY_SECONDS", 0.0)
    looks = Looks(run_at(1), run_at(1, "cancelled"))
    assert heard(run_at(1), looks) == ["progress", ": still here", "end"]


def test_a_database_that_is_away_ends_nothing():
    """The stream goes on with what is known until the database is back."""
    looks = Looks(DatabaseUnusable("away"), DatabaseUnusable("away"), run_at(3, "finished"))
    assert heard(run_at(1), looks) == ["progress", "end"]


def test_a_run_that_is_deleted_meanwhile_ends_its_stream():
    """Properly, so that nobody takes it for a broken connection."""
    assert heard(run_at(1), Looks(run_at(2), NotThere("run_x"))) == ["progress", "progress"]


def test_a_service_that_closes_lets_its_listeners_go():
    """The stream of a run that would still take long ends with the service."""
    told = iter([False, True])
    assert heard(run_at(1), Looks(run_at(2)), lambda: next(told)) == ["progress", "progress"]


def test_who_comes_back_hears_what_is_new():
    """After the id that was seen last, only what came since is told; the end ends it."""
    looks = Looks(run_at(2), run_at(3, "finished"))
    assert heard(run_at(1), looks, seen="running-1") == ["progress", "end"]


@pytest.mark.parametrize("seen", ["running-0", "finished-3", "another run's", "", "\x00"])
def test_an_id_that_is_not_the_last_begins_with_how_things_stand(seen):
    """An older id, a later one or nonsense: nothing is missed, whatever was heard before."""
    assert heard(run_at(1), Looks(run_at(3, "finished")), seen=seen) == ["progress", "end"]


def test_who_has_heard_the_end_hears_nothing_more():
    """The answer without content ends a browser's coming back."""
    answer = events.tell_events(run_at(3, "finished"), Looks(), "finished-3", lambda: False)
    assert answer.status_code == 204
