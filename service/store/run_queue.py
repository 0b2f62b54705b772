"""The queue's own tables, where runs are worked on by several machines.

The queue (procrastinate's) has its schema from its own package; here is what we ask of it.
"""

from typing import Any

from procrastinate.schema import SchemaManager
from sqlalchemy import Connection, text

_LOCK = 7_206_415_331  # two services that look at once look one after the other


def take_turn(connection: Connection) -> None:
    """Wait until no other service looks after the queue; the turn ends with the transaction."""
    connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})


def prepare_queue_tables(connection: Connection) -> None:
    """Make the queue's own tables unless they are there."""
    if connection.scalar(text("SELECT to_regclass('procrastinate_jobs')")) is None:
        driver(connection).execute(SchemaManager.get_schema())


def jobs_of(connection: Connection, run_id: str) -> tuple[int, int]:
    """Return how many jobs of the run wait, and how many are being done."""
    counted = text(
        "SELECT count(*) FILTER (WHERE status = 'todo'), count(*) FILTER (WHERE status = 'doing') "
        "FROM procrastinate_jobs WHERE queue_name = :run_id"
    )
    waiting, at_work = connection.execute(counted, {"run_id": run_id}).one()
    return waiting, at_work


def driver(connection: Connection) -> Any:
    """Return the driver's connection, as the queue takes it."""
    return connection.connection.driver_connection
