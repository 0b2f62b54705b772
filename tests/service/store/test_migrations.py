"""The migrations: from nothing to the tables of this version, on either database."""

import json
from concurrent.futures import ThreadPoolExecutor

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, text

from models.trial import Trial
from service.migrations import upgrade
from service.store import callers, trials
from service.store.database import Database, DatabaseUnusable
from service.store.tables import metadata


def test_the_steps_make_the_tables(database):
    """From empty, the steps make what the tables are declared to be, and nothing else."""
    with database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_migrating_again_changes_nothing(database):
    """A database that is up to date stays as it is."""
    upgrade(database)
    with database.reading() as connection:
        tables = set(inspect(connection).get_table_names())
    assert tables == {*metadata.tables, "alembic_version"}


def test_services_that_start_at_once_migrate_once(database_url):
    """Four that find an empty database bring it up to date between them."""
    databases = [Database(database_url) for _ in range(4)]
    with ThreadPoolExecutor(4) as crowd:
        assert list(crowd.map(upgrade, databases)) == [None] * 4
    with databases[0].reading() as connection:
        assert connection.scalar(text("SELECT count(*) FROM alembic_version")) == 1
    for each in databases:
        each.close()


def test_a_database_of_a_newer_version_is_left_alone(database):
    """An older program says which version to use instead of writing into what it does not know."""
    with database.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(DatabaseUnusable, match="newer version"):
        upgrade(database)


def test_a_step_that_fails_leaves_nothing_behind(database_url):
    """A migration is all or nothing: half of the tables are no tables."""
    database = Database(database_url)
    with database.writing() as connection:
        connection.execute(text("CREATE TABLE runs (id integer)"))  # in the way of a late step
    with pytest.raises(Exception, match="runs"):
        upgrade(database)
    with database.reading() as connection:
        assert inspect(connection).get_table_names() == ["runs"]
    database.close()


def test_old_trials_become_trays_of_one_piece(database_url):
    """A trial told before trays were keeps its dough, form, grade and round; a growth that no round
    shows is kept in its note; each can be read as a trial."""
    database = Database(database_url)
    form = {"kind": "cylinder", "diameter_mm": 80.0, "wrap_degrees": 150.0}
    recipe = {"lines": [{"text": "2 cups flour"}]}
    outcome = {"crack_grade": 2, "flat_round": {"diameter_mm": 60.0, "growth_mm": 4.5}}
    told = {
        "recipe": recipe,
        "target": {"form": form, "thickness_mm": 4.0, "chilled": True},
        "outcome": outcome,
        "note": "The first.",
    }
    odd = {**told, "outcome": {**outcome, "flat_round": {"diameter_mm": 60.0, "growth_mm": 400}}}
    upgrade(database, to="0001")
    with database.writing() as connection:
        caller = callers.caller_named(connection, "baker")
        late = "2026-11-11T16:00:00+00:00"
        kept = {"c": caller, "t": late}
        connection.execute(text("INSERT INTO kitchens VALUES ('kit_1', :c, 'Stone', 1, :t)"), kept)
        for name, trial in (("trial_1", told), ("trial_2", odd)):
            row = {**kept, "id": name, "trial": json.dumps(trial)}
            insert = "INSERT INTO trials VALUES (:id, 'kit_1', :c, :trial, :t)"
            connection.execute(text(insert), row)
    upgrade(database)
    with database.reading() as connection:
        first, second = trials.each_trial(connection, caller, "kit_1")
    assert Trial.model_validate_json(json.dumps(second.trial)).flat_round is None
    assert "400 mm" in second.trial["note"]
    tray = Trial.model_validate_json(json.dumps(first.trial))
    assert tray.flat_round.grew_mm == 4.5
    assert first.trial == {
        "recipe": recipe,
        "form": form,
        "chilled": True,
        "sheets": [{"thickness_mm": 4.0, "pieces": [{"crack_grade": 2}]}],
        "flat_round": {"thickness_mm": 4.0, "before_mm": 60.0, "after_mm": 64.5},
        "note": "The first.",
    }
    database.close()
