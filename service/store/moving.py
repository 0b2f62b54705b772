"""Moving: everything from one database copied into an empty one, and compared before it counts.

All of it is one transaction over there: whatever goes wrong, the empty database stays empty, and
the old one is only read.
"""

import hashlib
import json
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, Table, func, insert, select

from service.store.database import Database
from service.store.tables import metadata

ROWS_AT_ONCE = 500


class CannotMove(Exception):
    """The databases are not fit for it, or the copy is not the original; its text says why."""


class TableCopied(NamedTuple):
    """A table that is the same on both sides."""

    name: str
    rows: int


def copy_database(
    source: Database, target: Database, report: Callable[[TableCopied], None]
) -> None:
    """Copy every row of `source` into `target`, whose tables must be there and empty.

    Calls `report` for each table once it has been compared. Raises CannotMove or DatabaseUnusable;
    nothing is kept then.
    """
    if source.url == target.url:
        raise CannotMove("The two addresses are the same database.")
    with source.writing() as original, target.writing() as copy:  # nobody writes meanwhile
        for table in metadata.sorted_tables:
            if copy.scalar(select(func.count()).select_from(table)):
                raise CannotMove(
                    f"The database at {target.address} is not empty ({table.name} has rows); "
                    "give an empty one."
                )
        for table in metadata.sorted_tables:
            _copy(original, copy, table)
        for table in metadata.sorted_tables:
            report(_compare(original, copy, table))


def _copy(original: Connection, copy: Connection, table: Table) -> None:
    for rows in _batches(original, table):
        copy.execute(insert(table), [dict(row._mapping) for row in rows])


def _compare(original: Connection, copy: Connection, table: Table) -> TableCopied:
    before, after = _digest(original, table), _digest(copy, table)
    if before != after:
        raise CannotMove(
            f"The copy of {table.name} is not the original ({before[0]} rows, {after[0]} copied); "
            "nothing was kept."
        )
    return TableCopied(table.name, before[0])


def _digest(connection: Connection, table: Table) -> tuple[int, int]:
    """Return how many rows a table has and the sum of their digests, whatever their order."""
    count = total = 0
    for rows in _batches(connection, table):
        for row in rows:
            written = json.dumps(list(row), default=_plain, sort_keys=True).encode()
            total += int.from_bytes(hashlib.sha256(written).digest())
            count += 1
    return count, total


def _batches(connection: Connection, table: Table) -> Iterator[list[Row[Any]]]:
    """Yield a table's rows, so many at a time, however many there are."""
    query = select(table).execution_options(yield_per=ROWS_AT_ONCE)
    with connection.execute(query) as found:
        for rows in found.partitions():
            yield list(rows)


def _plain(value: Any) -> str:
    return value.isoformat() if isinstance(value, datetime) else bytes(value).hex()
