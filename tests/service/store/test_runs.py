"""Runs in the store: entered once, frozen as they were, seen by their caller alone."""

import json

import pytest

from models.catalogue import NewRecipe
from models.recipe import Recipe
from service.store.callers import SINGLE_USER, caller_named
from service.store.recipes import add_recipe, delete_recipe
from service.store.refusals import AtWork, NotThere, Stale
from service.store.run_items import Done, ItemResult, items_after, keep_items, recipes_to_do
from service.store.runs import (
    Chunk,
    cancel_run,
    delete_run,
    enter_run,
    find_run,
    finish_if_complete,
    lacking_chunks,
    list_runs,
    mark_running,
    open_runs,
)
from tests.service.databases import database, database_url  # noqa: F401
from tests.service.runs.shop import enter, run_brief, stock


@pytest.fixture
def catalogue(database):  # noqa: F811
    """A catalogue of a hundred and twenty recipes."""
    return stock(database, 120)


@pytest.fixture
def connection(database, catalogue):  # noqa: F811
    with database.writing() as connection:
        yield connection


def keep(connection, run_id, positions):
    done = [Done.of(at, "failed", ItemResult()) for at in positions]
    keep_items(connection, run_id, done)


def add(connection, catalogue):
    text = json.dumps({"lines": [{"text": "2 cups flour"}, {"text": "1 cup butter"}]})
    new = NewRecipe(recipe=Recipe.model_validate_json(text), catalogue_id=catalogue)
    return add_recipe(connection, SINGLE_USER, new)


def test_the_same_run_is_one_run(connection, catalogue):
    """The same brief over the same recipes is the same run, however it is written; another brief,
    or another recipe in the catalogue, makes another run."""
    first, is_new = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    assert is_new
    window = {"flour_to_fat": {"max": None, "min": 1.8}}
    same = run_brief(catalogue, measures="as_written", window=window)
    assert enter_run(connection, SINGLE_USER, same) == (first, False)
    other, is_new = enter_run(connection, SINGLE_USER, run_brief(catalogue, measures="scale"))
    assert (other != first, is_new) == (True, True)
    add(connection, catalogue)
    later, is_new = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    assert (later != first, is_new) == (True, True)
    assert find_run(connection, SINGLE_USER, later).total == 121


def test_a_run_keeps_to_the_recipes_that_there_were(connection, catalogue):
    """A recipe that is deleted after the run was entered is still done."""
    gone = add(connection, catalogue)
    run_id, _ = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    delete_recipe(connection, SINGLE_USER, gone.id, None)
    [last] = recipes_to_do(connection, run_id, 120, 200)
    assert (last.position, len(last.recipe["lines"])) == (120, 2)


def test_a_cancelled_run_goes_on_when_it_is_asked_for_again(connection, catalogue):
    """It is the same run with what was done, open once more."""
    run_id, _ = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    mark_running(connection, run_id)
    keep(connection, run_id, range(5))
    assert cancel_run(connection, SINGLE_USER, run_id).finished_at is not None
    assert open_runs(connection) == []
    assert enter_run(connection, SINGLE_USER, run_brief(catalogue)) == (run_id, False)
    run = find_run(connection, SINGLE_USER, run_id)
    assert (run.state, run.done, run.finished_at) == ("queued", 5, None)
    assert open_runs(connection) == [(run_id, 120)]


def test_chunks_that_lack_rows_are_named(connection, catalogue):
    """A chunk is lacking until each of its recipes has an item; the last one is shorter."""
    run_id, _ = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    assert [c[1:] for c in lacking_chunks(connection, run_id, 120)] == [
        (0, 50),
        (50, 100),
        (100, 120),
    ]
    keep(connection, run_id, [*range(50), 60, *range(100, 120)])
    assert lacking_chunks(connection, run_id, 120) == [Chunk(run_id, 50, 100)]
    to_do = [frozen.position for frozen in recipes_to_do(connection, run_id, 55, 65)]
    assert to_do == [55, 56, 57, 58, 59, 61, 62, 63, 64]


def test_a_run_is_finished_with_its_last_item_and_not_before(connection, catalogue):
    """One recipe short it goes on; complete it is finished, and cannot be cancelled any more."""
    run_id, _ = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    keep(connection, run_id, range(119))
    finish_if_complete(connection, run_id)
    assert find_run(connection, SINGLE_USER, run_id).state == "queued"
    keep(connection, run_id, [119])
    finish_if_complete(connection, run_id)
    assert find_run(connection, SINGLE_USER, run_id).state == "finished"
    assert cancel_run(connection, SINGLE_USER, run_id).state == "finished"


def test_an_item_is_kept_once(connection, catalogue):
    """Whoever comes second changes nothing."""
    run_id, _ = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    keep(connection, run_id, [3])
    keep_items(connection, run_id, [Done.of(3, "unchanged", ItemResult())])
    [item] = items_after(connection, run_id, -1, None, 10)
    assert (item["position"], item["outcome"], item["title"]) == (3, "failed", "Dough 3")


def test_another_caller_sees_nothing_of_it(connection, catalogue):
    """For anyone else there is no such run, no such catalogue and nothing to cancel."""
    run_id, _ = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    stranger = caller_named(connection, "stranger")
    with pytest.raises(NotThere):
        find_run(connection, stranger, run_id)
    with pytest.raises(NotThere):
        cancel_run(connection, stranger, run_id)
    with pytest.raises(NotThere):
        enter_run(connection, stranger, run_brief(catalogue))
    assert list_runs(connection, stranger, None, "", 10) == []
    assert [run.id for run in list_runs(connection, SINGLE_USER, None, "", 10)] == [run_id]


def test_nothing_is_left_of_an_attempt_that_was_no_new_run(database, catalogue):  # noqa: F811
    """Asked for twice, a run leaves one run behind and no more frozen recipes than it has."""
    run_id = enter(database, run_brief(catalogue))
    assert enter(database, run_brief(catalogue)) == run_id
    with database.reading() as connection:
        assert open_runs(connection) == [(run_id, 120)]


def test_what_worked_on_a_deleted_run_harms_nobody(connection, catalogue):
    """A worker that was at a chunk when the run was cancelled and deleted may still write to it;
    the run stays gone, and the same brief is another run."""
    run_id, _ = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    mark_running(connection, run_id)
    with pytest.raises(AtWork):
        delete_run(connection, SINGLE_USER, run_id, None)
    cancel_run(connection, SINGLE_USER, run_id)
    with pytest.raises(Stale):
        delete_run(connection, SINGLE_USER, run_id, {7})
    delete_run(connection, SINGLE_USER, run_id, None)
    keep(connection, run_id, range(3))
    finish_if_complete(connection, run_id)
    assert list_runs(connection, SINGLE_USER, None, "", 10) == []
    assert recipes_to_do(connection, run_id, 0, 120) == []
    other, is_new = enter_run(connection, SINGLE_USER, run_brief(catalogue))
    assert (other != run_id, is_new) == (True, True)
