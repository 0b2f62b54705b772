"""The migrations: from nothing to the tables of this version, on either database."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, text

from service.migrations import upgrade
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
