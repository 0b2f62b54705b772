"""Inserting what may be there already, as both databases can."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_if_absent(connection: Connection, table: Table, row: Mapping[str, Any]) -> bool:
    """Insert `row` unless a unique column forbids it; tell whether it was inserted.

    On PostgreSQL this waits for a transaction that has inserted the same and not ended.
    """
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    statement = dialect.insert(table).values(**row).on_conflict_do_nothing()
    counted = statement.execution_options(preserve_rowcount=True)
    return connection.execute(counted).rowcount == 1


def insert_or_add(
    connection: Connection,
    table: Table,
    row: Mapping[str, Any],
    adding: str | None,
    *,
    unless: ColumnElement[bool] | None = None,
) -> bool:
    """Insert `row`, or write it over the one that is there; tell whether either was done.

    To the column `adding` it is added instead. Nothing is done to a row of which `unless` holds.
    """
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    statement = dialect.insert(table).values(**row)
    changed = {
        column.name: statement.excluded[column.name]
        + (table.c[column.name] if column.name == adding else 0)
        for column in table.columns
        if not column.primary_key
    }
    added = statement.on_conflict_do_update(
        index_elements=list(table.primary_key.columns),
        set_=changed,
        where=None if unless is None else ~unless,
    ).execution_options(preserve_rowcount=True)
    return connection.execute(added).rowcount == 1
