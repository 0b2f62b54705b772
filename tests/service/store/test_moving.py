"""Moving and backing up: everything arrives, exactly, or nothing does."""

import sqlite3
from datetime import UTC, datetime

import pytest
from sqlalchemy import func, insert, select

from models.catalogue import NewRecipe
from models.recipe import Recipe, TextLine
from service.migrations import upgrade
from service.store import callers, catalogues, moving, recipes
from service.store.backups import CannotBackUp, back_up
from service.store.database import Database
from service.store.moving import ROWS_AT_ONCE, CannotMove, copy_database
from service.store.tables import idempotent_requests, metadata, recipe_versions

DOUGH = Recipe(title="Reed \U0001f56f panels", lines=(TextLine(text="2 cups flour"),))


@pytest.fixture
def filled(tmp_path):
    """An embedded database with more recipes than are copied at once, and every kind of column."""
    database = Database(f"sqlite:///{tmp_path}/filled.sqlite3")
    upgrade(database)
    with database.writing() as connection:
        caller = callers.caller_named(connection, "baker")
        callers.add_key(connection, caller, "abcdefgh", bytes(range(32)))
        catalogue = catalogues.add_catalogue(connection, caller, "Panels").id
        new = NewRecipe(recipe=DOUGH, catalogue_id=catalogue)
        made = [recipes.add_recipe(connection, caller, new).id for _ in range(ROWS_AT_ONCE + 20)]
        unread = {
            "recipe_id": made[0],
            "version": 2,
            "recipe": None,
            "unread": [{"a": [0.1, None]}],
        }
        late = datetime(2026, 11, 11, 16, 0, 0, 123456, UTC)
        row = {**unread, "extras": {"é": 1e300, "n": None}, "created_at": late}
        connection.execute(insert(recipe_versions).values(**row))
        answered = {
            "caller_id": caller,
            "key": "k",
            "request_digest": b"\0\xff",
            "created_at": late,
        }
        connection.execute(insert(idempotent_requests).values(**answered))
    yield database
    database.close()


@pytest.fixture
def empty(database_url):
    database = Database(database_url)
    upgrade(database)
    yield database
    database.close()


def contents(database):
    """Return every row of every table."""
    with database.reading() as connection:
        return {
            name: sorted(map(repr, connection.execute(select(table))))
            for name, table in metadata.tables.items()
        }


def test_everything_arrives_as_it_was(filled, empty):
    """Every row of every table is there afterwards, equal in every column, on either database; the
    report counts them."""
    copied = []
    copy_database(filled, empty, copied.append)
    assert contents(empty) == contents(filled)
    counts = {table.name: table.rows for table in copied}
    assert set(counts) == set(metadata.tables)
    assert counts["recipes"] == ROWS_AT_ONCE + 20
    with empty.reading() as connection:
        nothing = select(func.count()).where(recipe_versions.c.recipe.is_(None))
        assert connection.scalar(nothing) == 1


def test_a_database_that_holds_something_is_refused(filled, empty):
    """Nothing is copied over what is there."""
    with empty.writing() as connection:
        callers.welcome_single_user(connection)
    before = contents(empty)
    with pytest.raises(CannotMove, match="not empty"):
        copy_database(filled, empty, lambda _: None)
    assert contents(empty) == before


def test_a_copy_that_differs_is_not_kept(filled, empty, monkeypatch):
    """Where one row went missing on the way, the new database stays empty."""
    batches = moving._batches
    lost = []

    def losing(connection, table):
        for rows in batches(connection, table):
            if table.name == "recipe_versions" and not lost:
                lost.append(rows.pop())
            yield rows

    monkeypatch.setattr(moving, "_batches", losing)
    with pytest.raises(CannotMove, match="recipe_versions"):
        copy_database(filled, empty, lambda _: None)
    assert not any(contents(empty).values())


def test_a_database_is_not_copied_into_itself(filled):
    """The same address twice is refused before anything waits for itself."""
    with pytest.raises(CannotMove, match="same"):
        copy_database(filled, Database(str(filled.url)), lambda _: None)


def test_a_backup_is_the_whole_database(filled, tmp_path):
    """The file, made while a reader looks on, is a sound database with every row."""
    with filled.reading():
        back_up(filled, tmp_path / "backup.sqlite3")
    restored = Database(f"sqlite:///{tmp_path}/backup.sqlite3")
    assert contents(restored) == contents(filled)
    restored.close()
    with sqlite3.connect(tmp_path / "backup.sqlite3") as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    file.close()
    assert not (tmp_path / "backup.sqlite3.unfinished").exists()


def test_a_backup_overwrites_nothing(filled, tmp_path):
    """A file that is there stays as it is; a folder that is not there is said."""
    (tmp_path / "precious").write_text("precious")
    for name, said in [("precious", "already"), ("nowhere/b", "cannot be written")]:
        with pytest.raises(CannotBackUp, match=said):
            back_up(filled, tmp_path / name)
    assert (tmp_path / "precious").read_text() == "precious"


def test_what_cannot_be_backed_up_says_what_to_do(tmp_path):
    """A server's database is pg_dump's business; a file that is not there is not made."""
    with pytest.raises(CannotBackUp, match="pg_dump"):
        back_up(Database("postgresql://baker@127.0.0.1/nothing"), tmp_path / "b")
    with pytest.raises(CannotBackUp, match="no database"):
        back_up(Database(f"sqlite:///{tmp_path}/none.sqlite3"), tmp_path / "b")
    assert list(tmp_path.iterdir()) == []
