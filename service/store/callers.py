"""Callers and their keys as they are kept: who may ask, and nothing that lets another ask so.

How a key is made and told from a wrong one is `service.http.callers`.
"""

from datetime import datetime
from typing import NamedTuple

from sqlalchemy import Connection, insert, select, update

from service.store.identities import new_identity
from service.store.inserting import insert_if_absent
from service.store.moments import now
from service.store.refusals import NotThere, Taken
from service.store.tables import api_keys, callers

SINGLE_USER = "single-user"
"""The name and the identity of whoever works alone on this machine."""


class KeyEntry(NamedTuple):
    """A key as it is listed: whose, since when, until when."""

    prefix: str
    caller: str
    created_at: datetime
    revoked_at: datetime | None


class KeptKey(NamedTuple):
    """What is kept of a key."""

    caller_id: str
    digest: bytes


def welcome_single_user(connection: Connection) -> None:
    """Make the caller who needs no key, unless it is there."""
    row = {"id": SINGLE_USER, "name": SINGLE_USER, "created_at": now()}
    insert_if_absent(connection, callers, row)


def caller_named(connection: Connection, name: str) -> str:
    """Return the identity of the caller of that name, made where there is none."""
    if name == SINGLE_USER:
        welcome_single_user(connection)
        return SINGLE_USER
    query = select(callers.c.id).where(callers.c.name == name).order_by(callers.c.id).limit(1)
    known: str | None = connection.scalar(query)
    if known is not None:
        return known
    identity = new_identity("call")
    connection.execute(insert(callers).values(id=identity, name=name, created_at=now()))
    return identity


def single_user_named(connection: Connection, name: str) -> str:
    """Return the identity of the caller who needs no key, who is called `name` from now on.

    What was stored on one machine without a key is then that key's, wherever the database goes.
    Raises Taken where somebody else is called so.
    """
    others = select(callers.c.id).where(callers.c.name == name, callers.c.id != SINGLE_USER)
    if connection.scalar(others.limit(1)) is not None:
        raise Taken(name)
    welcome_single_user(connection)
    connection.execute(update(callers).where(callers.c.id == SINGLE_USER).values(name=name))
    return SINGLE_USER


def add_key(connection: Connection, caller_id: str, prefix: str, digest: bytes) -> None:
    """Keep a new key of a caller's."""
    row = {"prefix": prefix, "caller_id": caller_id, "digest": digest, "created_at": now()}
    connection.execute(insert(api_keys).values(**row))


def find_key(connection: Connection, prefix: str) -> KeptKey | None:
    """Return what is kept of a key that has not been revoked."""
    query = select(api_keys.c.caller_id, api_keys.c.digest).where(
        api_keys.c.prefix == prefix, api_keys.c.revoked_at.is_(None)
    )
    found = connection.execute(query).one_or_none()
    return None if found is None else KeptKey(found.caller_id, bytes(found.digest))


def list_keys(connection: Connection) -> list[KeyEntry]:
    """Return every key there ever was, the oldest first."""
    columns = (api_keys.c.prefix, callers.c.name, api_keys.c.created_at, api_keys.c.revoked_at)
    query = select(*columns).join(callers).order_by(api_keys.c.created_at, api_keys.c.prefix)
    return [KeyEntry(*row) for row in connection.execute(query)]


def revoke_key(connection: Connection, prefix: str) -> None:
    """Let a key open nothing from now on; raise NotThere unless it opened something."""
    live = (api_keys.c.prefix == prefix, api_keys.c.revoked_at.is_(None))
    if connection.execute(update(api_keys).where(*live).values(revoked_at=now())).rowcount != 1:
        raise NotThere(prefix)
