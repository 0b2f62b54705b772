"""What monitoring reads, kept for every process of the service: sums, and each one's state.

A sum is added to by all and outlives them. A state (a queue's length, memory) is a process's own
and counts for as long as that goes on telling it.
"""

from collections.abc import Mapping

from sqlalchemy import Connection, delete, func, or_, select

from service.store.inserting import insert_or_add
from service.store.tables import measurements

EVERYBODY = ""


def add_to_sums(connection: Connection, added: Mapping[str, float], at: int) -> None:
    """Add to the sums of all processes, by series; `at` is in seconds since 1970."""
    for series, value in sorted(added.items()):  # in one order: two who add never block each other
        row = {"series": series, "process": EVERYBODY, "value": value, "told_at": at}
        insert_or_add(connection, measurements, row, "value")


def tell_state(connection: Connection, process: str, state: Mapping[str, float], at: int) -> None:
    """Replace what `process` told of itself."""
    for series, value in state.items():
        row = {"series": series, "process": process, "value": value, "told_at": at}
        insert_or_add(connection, measurements, row, None)


def forget_silent(connection: Connection, since: int) -> None:
    """Forget the state of processes that have told nothing since."""
    silent = (measurements.c.process != EVERYBODY) & (measurements.c.told_at < since)
    connection.execute(delete(measurements).where(silent))


def totals(connection: Connection, since: int) -> dict[str, float]:
    """Return every sum, and the states told since, summed over processes."""
    counts = or_(measurements.c.process == EVERYBODY, measurements.c.told_at >= since)
    found = (
        select(measurements.c.series, func.sum(measurements.c.value).label("value"))
        .where(counts)
        .group_by(measurements.c.series)
        .order_by(measurements.c.series)
    )
    return {row.series: row.value for row in connection.execute(found)}
