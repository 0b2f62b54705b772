"""Inserting what may be there already, as both databases can."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_if_absent(connection: Connection, table: Table, row: Mapping[str, Any]) -> bool:
    """Insert `row` unless a unique column forbids it; tell whether it was inserted.

    On PostgreSQL this waits for a transaction that has inserted the same and not ended.
    """
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    statement = dialect.insert(table).values(**row).on_conflict_do_nothing()
    counted = statement.execution_options(preserve_rowcount=True)
    return connection.execute(counted).rowcount == 1
