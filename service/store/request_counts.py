"""Requests counted over every process of the service: by who asks, and by the minute."""

from sqlalchemy import Connection, delete, select

from service.store.inserting import insert_or_add
from service.store.tables import request_counts


def take(connection: Connection, who: str, window: int, amount: int, *, most: int) -> bool:
    """Count `amount` more in the window unless that makes more than `most`; tell whether it did.

    However many ask at once, no more than `most` are ever counted.
    """
    if amount > most:
        return False
    row = {"who": who, "window": window, "taken": amount}
    too_many = request_counts.c.taken + amount > most
    return insert_or_add(connection, request_counts, row, "taken", unless=too_many)


def taken(connection: Connection, who: str, window: int) -> int:
    """Return how many were counted."""
    found = select(request_counts.c.taken).where(
        request_counts.c.who == who, request_counts.c.window == window
    )
    return connection.scalar(found) or 0


def forget_before(connection: Connection, window: int) -> None:
    """Forget whoever asked before the window."""
    connection.execute(delete(request_counts).where(request_counts.c.window < window))
