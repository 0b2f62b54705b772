"""A chunk: every recipe gets its item once, whatever the recipe is and whoever else is at it."""

import threading
import time

import pytest

from models.run import ItemOutcome
from service.runs.chunks import give_up_on, run_chunk, solve_recipe
from service.store.callers import SINGLE_USER
from service.store.run_items import FrozenRecipe
from service.store.runs import Chunk, cancel_run, find_run
from tests.service.runs.conftest import RECIPES
from tests.service.runs.shop import assert_complete, items_of, run_brief

BRIEF = run_brief("any")


def look(database, run_id):
    with database.reading() as connection:
        return find_run(connection, SINGLE_USER, run_id)


def frozen(*lines, unread=()):
    recipe = {"lines": [{"text": line} for line in lines]} if lines else None
    return FrozenRecipe(0, recipe, list(unread))


def outcome_of(recipe, seconds=10.0) -> tuple[ItemOutcome, str]:
    done = solve_recipe(BRIEF, recipe, seconds)
    return done.outcome, " ".join(f"{f.pointer} {f.message}" for f in done.result.faults)


def test_whatever_a_recipe_is_it_has_an_outcome():
    """One that holds, one that must change, one without flour, one that was never read, one that
    cannot be read any more, and one in a shape that nobody wrote: each is told by its outcome."""
    assert outcome_of(frozen("4 cups flour", "1 cup butter")) == ("unchanged", "")
    assert outcome_of(frozen("2 cups flour", "1 cup butter")) == ("reformulated", "")
    assert outcome_of(frozen("1 egg")) == (
        "unreadable",
        "/recipe/lines has no flour, and every ratio is a share of the flour",
    )
    line = {"line": 2, "text": "a cup of light", "message": "is unknown"}
    assert outcome_of(frozen(unread=[line])) == (
        "unreadable",
        "/lines/1 'a cup of light': is unknown",
    )
    outcome, faults = outcome_of(frozen("2 cups lantern light"))
    assert (outcome, faults.split()[0]) == ("unreadable", "/recipe/lines")
    outcome, faults = outcome_of(frozen(unread=[{}]))
    assert (outcome, "on our side" in faults) == ("failed", True)


def test_a_recipe_takes_no_longer_than_it_may():
    """With no time at all the recipe is unfinished, and the run goes on."""
    assert outcome_of(frozen("2 cups flour", "1 cup butter"), seconds=0.0) == ("unfinished", "")


def test_chunks_complete_a_run(database, run_id):
    """The run starts with its first chunk and is finished with its last; each item is what the
    recipe gives alone."""
    assert look(database, run_id).state == "queued"
    run_chunk(database, Chunk(run_id, 0, 50), 10)
    halfway = look(database, run_id)
    assert (halfway.state, halfway.done, halfway.finished_at) == ("running", 50, None)
    assert halfway.recipes_per_second > 0
    assert halfway.seconds_left == pytest.approx(10 / halfway.recipes_per_second)
    run_chunk(database, Chunk(run_id, 50, RECIPES), 10)
    ended = look(database, run_id)
    assert (ended.state, ended.done, ended.seconds_left) == ("finished", RECIPES, None)
    assert ended.created_at <= ended.started_at <= ended.finished_at
    assert_complete(database, run_id, RECIPES)


def test_a_chunk_done_again_changes_nothing(database, run_id):
    """The second time finds nothing to do; even where an item is taken away, only that is done."""
    run_chunk(database, Chunk(run_id, 0, 30), 10)
    before = items_of(database, run_id)
    run_chunk(database, Chunk(run_id, 0, 30), 10)
    assert items_of(database, run_id) == before


def test_two_at_one_chunk_keep_each_item_once(database, run_id):
    """Two who work on the same chunk at the same time end with one item for each recipe."""
    work = [
        threading.Thread(target=run_chunk, args=(database, Chunk(run_id, 0, RECIPES), 10))
        for _ in range(2)
    ]
    for worker in work:
        worker.start()
    for worker in work:
        worker.join()
    assert look(database, run_id).state == "finished"
    assert_complete(database, run_id, RECIPES)


def test_a_cancelled_run_goes_no_further(database, run_id):
    """What is done stays, nothing is added, and the run stays cancelled."""
    run_chunk(database, Chunk(run_id, 0, 10), 10)
    with database.writing() as connection:
        cancel_run(connection, SINGLE_USER, run_id)
    run_chunk(database, Chunk(run_id, 0, RECIPES), 10)
    run = look(database, run_id)
    assert (run.state, run.done) == ("cancelled", 10)


def test_a_run_that_is_cancelled_at_work_stops_soon(database, run_id):
    """Cancelled while a chunk of slow recipes is at work, the run stops before the chunk's end."""

    def slowly():
        time.sleep(0.05)
        return False

    chunk = Chunk(run_id, 0, RECIPES)
    work = threading.Thread(target=run_chunk, args=(database, chunk, 10, slowly))
    work.start()
    with database.writing() as connection:
        cancel_run(connection, SINGLE_USER, run_id)
    work.join()
    assert len(items_of(database, run_id)) < RECIPES


def test_who_is_stopped_keeps_what_is_done(database, run_id):
    """Told to stop after three recipes, it has kept three."""
    told = iter([False] * 3)
    run_chunk(database, Chunk(run_id, 0, RECIPES), 10, lambda: next(told, True))
    assert [item["position"] for item in items_of(database, run_id)] == [0, 1, 2]


def test_what_is_given_up_is_told(database, run_id):
    """Recipes over which processes died are failed, those that were done before stay."""
    run_chunk(database, Chunk(run_id, 0, 2), 10)
    give_up_on(database, Chunk(run_id, 0, 4))
    assert [item["outcome"] == "failed" for item in items_of(database, run_id)] == [
        False,
        False,
        True,
        True,
    ]
