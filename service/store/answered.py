"""Requests that were answered under an idempotency key, and their answers to the byte.

A key is claimed in the transaction that stores what the request asked for, so that either both are
kept or neither is. Whoever comes with the same key meanwhile waits for that transaction's end.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import NamedTuple

from sqlalchemy import ColumnElement, Connection, delete, select, update
from sqlalchemy.exc import OperationalError

from service.store.inserting import insert_if_absent
from service.store.moments import now
from service.store.refusals import InFlight, KeyReused
from service.store.tables import idempotent_requests as requests

KEPT = timedelta(days=7)
"""Longer than anyone tries again; a key may mean another request after that."""


class Answered(NamedTuple):
    """An answer to a request that stored something."""

    status: int
    headers: dict[str, str]
    body: bytes


class Claim(NamedTuple):
    """A caller's key, and the digest of the request that it came with."""

    caller_id: str
    key: str
    request_digest: bytes


def answer_once(
    connection: Connection, claim: Claim, act: Callable[[], Answered]
) -> tuple[Answered, bool]:
    """Return the answer of `act`, done the first time only, and whether it is a replay.

    Raises KeyReused or InFlight, and whatever `act` does: then the key is free again.
    """
    if not _claim(connection, claim):
        return _earlier(connection, claim), True
    answered = act()
    connection.execute(update(requests).where(*_by(claim)).values(**answered._asdict()))
    return answered, False


def is_answered(connection: Connection, caller_id: str, key: str) -> bool:
    """Tell whether a request with that key has an answer, whatever it asked for."""
    mine = (requests.c.caller_id == caller_id, requests.c.key == key)
    return connection.execute(select(requests.c.status).where(*mine)).scalar() is not None


def forget_old(connection: Connection) -> None:
    """Forget the answers that nobody will ask for again."""
    connection.execute(delete(requests).where(requests.c.created_at < now() - KEPT))


def _claim(connection: Connection, claim: Claim) -> bool:
    try:
        return insert_if_absent(connection, requests, {**claim._asdict(), "created_at": now()})
    except OperationalError as error:
        if getattr(error.orig, "sqlstate", None) == _LOCK_NOT_AVAILABLE:
            raise InFlight(claim.key) from error
        raise


_LOCK_NOT_AVAILABLE = "55P03"  # PostgreSQL's word for having waited long enough


def _earlier(connection: Connection, claim: Claim) -> Answered:
    columns = (requests.c.request_digest, requests.c.status, requests.c.headers, requests.c.body)
    row = connection.execute(select(*columns).where(*_by(claim))).one()
    if bytes(row.request_digest) != claim.request_digest:
        raise KeyReused(claim.key)
    if row.status is None:
        raise InFlight(claim.key)
    return Answered(row.status, row.headers, bytes(row.body))


def _by(claim: Claim) -> tuple[ColumnElement[bool], ...]:
    return (requests.c.caller_id == claim.caller_id, requests.c.key == claim.key)
