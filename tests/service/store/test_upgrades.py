"""Upgrades and backups: what any earlier version kept is there in this one, and in a copy."""

import os
import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import JSON, MetaData, insert, select

from service.migrations import upgrade, versions
from service.store.backups import back_up
from service.store.database import Database
from service.store.moving import _digest
from service.store.tables import metadata
from tests.service.databases import fresh_database

STEPS = sorted(
    path.name[1:5] for path in Path(versions.__file__).parent.glob("r[0-9][0-9][0-9][0-9]_*.py")
)
MOMENT = datetime(2026, 11, 11, 16, 0, tzinfo=UTC)
TOLD = {  # what a column must hold where not anything will do
    "state": "finished",
    "trial": {
        "recipe": {"lines": [{"text": "2 cups flour"}]},
        "target": {"form": {"kind": "cylinder", "diameter_mm": 80.0, "wrap_degrees": 150.0},
                   "thickness_mm": 4.0},
        "outcome": {"crack_grade": 2},
    },
}  # fmt: skip
DROPPED = {("trials", "trial")}
"""What a step carried over elsewhere; `test_migrations` says where to."""


def value_for(column: Any) -> Any:
    if column.name in TOLD:
        return TOLD[column.name]
    if isinstance(column.type, JSON):
        return {"kept": ["½", None, 1.5]}
    kind = column.type.python_type
    made = {str: "name_1", int: 1, float: 1.5, bytes: b"\x00" * 32, datetime: MOMENT}
    return made[kind]


def fill(database: Database) -> dict[str, dict[str, Any]]:
    """Put a row into every table there is, and return them by table."""
    found = MetaData()
    with database.writing() as connection:
        found.reflect(connection, only=lambda name, _: name in metadata.tables)
        kept = {}
        for table in found.sorted_tables:
            row = {column.name: value_for(column) for column in table.columns}
            connection.execute(insert(table), row)
            kept[table.name] = row
    return kept


def rows_of(database: Database, table: str) -> list[dict[str, Any]]:
    with database.reading() as connection:
        return [dict(row._mapping) for row in connection.execute(select(metadata.tables[table]))]


def digests(database: Database) -> dict[str, Any]:
    with database.reading() as connection:
        return {table.name: _digest(connection, table) for table in metadata.sorted_tables}


@pytest.mark.parametrize("step", STEPS)
def test_what_an_earlier_version_kept_is_kept(database_url, step):
    """From every step of the tables that there ever was, each full, the last one has every row with
    every value that it had."""
    database = Database(database_url)
    upgrade(database, to=step)
    kept = fill(database)
    upgrade(database)
    assert len(kept) >= 10
    for table, row in kept.items():
        [now] = rows_of(database, table)
        stayed = {name: value for name, value in row.items() if (table, name) not in DROPPED}
        assert {name: now[name] for name in stayed} == stayed, table
    assert rows_of(database, "trial_versions") != []
    database.close()


def test_a_backup_restored_is_what_was_there(tmp_path):
    """The copy put in the file's place, as README says, has every row of every table."""
    original, copy = tmp_path / "shop.sqlite3", tmp_path / "copy.sqlite3"
    database = Database(f"sqlite:///{original}")
    upgrade(database)
    fill(database)
    before = digests(database)
    assert all(count == 1 for count, _ in before.values())
    back_up(database, copy)
    database.close()
    for file in tmp_path.glob("shop.sqlite3*"):
        file.unlink()
    shutil.copy(copy, original)
    restored = Database(f"sqlite:///{original}")
    upgrade(restored)
    assert digests(restored) == before
    restored.close()


def test_a_dump_restored_is_what_was_there(tmp_path):
    """`pg_dump` and `pg_restore`, as README says, bring back every row of every table."""
    if shutil.which("pg_dump") is None:
        assert os.environ.get("FORMHOLD_REQUIRE_POSTGRES") != "1", "pg_dump is missing"
        pytest.skip("pg_dump is not here")
    with (
        fresh_database("postgresql", tmp_path) as old,
        fresh_database("postgresql", tmp_path) as new,
    ):
        database = Database(old)
        upgrade(database)
        fill(database)
        before = digests(database)
        database.close()
        plain = [url.replace("+psycopg", "") for url in (old, new)]
        dump = tmp_path / "shop.dump"
        subprocess.run(["pg_dump", "--format=custom", f"--file={dump}", plain[0]], check=True)
        subprocess.run(["pg_restore", "--no-owner", f"--dbname={plain[1]}", str(dump)], check=True)
        restored = Database(new)
        upgrade(restored)
        assert digests(restored) == before
        restored.close()
