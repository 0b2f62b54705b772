"""The queue's own tables, where runs are worked on by several machines.

The queue (procrastinate's) has its schema from its own package; here is what we ask of it.
"""

from pathlib import Path
from typing import Any

from procrastinate.schema import SchemaManager
from sqlalchemy import Connection, text

_LOCK = 7_206_415_331  # two services that look at once look one after the other


_STEP_BEFORE_NOTES = "03.04.00_50_post_add_retry_failed_job_procedure.sql"
"""How far queues were that were made before steps were noted."""


def take_turn(connection: Connection) -> None:
    """Wait until no other service looks after the queue; the turn ends with the transaction."""
    connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})


def prepare_queue_tables(connection: Connection) -> bool:
    """Make the queue's own tables, or bring those that are there a step nearer to its version.

    Tells whether there may be further steps: what one makes can be used once it is committed. The
    queue keeps no note of its version, so each step that was taken is noted here.
    """
    connection.execute(text("CREATE TABLE IF NOT EXISTS queue_schema (step text PRIMARY KEY)"))
    known = connection.scalar(text("SELECT max(step) FROM queue_schema")) or _STEP_BEFORE_NOTES
    steps = _steps()
    if connection.scalar(text("SELECT to_regclass('procrastinate_jobs')")) is None:
        driver(connection).execute(SchemaManager.get_schema())
        taken = max(steps)
    else:
        taken = next((name for name in steps if name > known), known)
        if taken > known:
            driver(connection).execute(steps[taken])
    note = text("INSERT INTO queue_schema VALUES (:step) ON CONFLICT DO NOTHING")
    connection.execute(note, {"step": taken})
    return taken < max(steps)


def _steps() -> dict[str, str]:
    """Return the queue's own migrations in their order, each by the name of its file."""
    files = sorted(Path(SchemaManager.get_migrations_path()).glob("*.sql"))
    return {file.name: file.read_text(encoding="utf-8") for file in files}


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
