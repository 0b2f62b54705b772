"""Kitchens as they are kept; what was baked in them is `service.store.trials`."""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, insert, select, update

from models.kitchen import Kitchen
from service.store.identities import new_identity
from service.store.moments import now
from service.store.refusals import NotEmpty, NotThere, Stale
from service.store.tables import kitchens, trials

_SHOWN = (kitchens.c.id, kitchens.c.name, kitchens.c.revision, kitchens.c.created_at)


def add_kitchen(connection: Connection, caller_id: str, name: str) -> Kitchen:
    """Keep a new kitchen."""
    made = Kitchen(id=new_identity("kit"), name=name, revision=1, created_at=now())
    connection.execute(insert(kitchens).values(caller_id=caller_id, **made.model_dump()))
    return made


def find_kitchen(
    connection: Connection, caller_id: str, identity: str, *, hold: bool = False
) -> Kitchen:
    """Return a kitchen, held against deletion until the transaction ends; raise NotThere."""
    query = select(*_SHOWN).where(*_owned(caller_id), kitchens.c.id == identity)
    row = connection.execute(query.with_for_update(read=True) if hold else query).one_or_none()
    if row is None:
        raise NotThere(identity)
    return Kitchen(**row._mapping)


def list_kitchens(connection: Connection, caller_id: str, after: str, limit: int) -> list[Kitchen]:
    """Return up to `limit` kitchens that come after the one named `after`."""
    query = select(*_SHOWN).where(*_owned(caller_id), kitchens.c.id > after)
    rows = connection.execute(query.order_by(kitchens.c.id).limit(limit))
    return [Kitchen(**row._mapping) for row in rows]


def rename_kitchen(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    name: str,
) -> Kitchen:
    """Give a kitchen another name; raise NotThere, or Stale unless its revision is `expected`
    (any, where that is None)."""
    change = {"name": name, "revision": kitchens.c.revision + 1}
    _change(connection, caller_id, identity, expected, change)
    return find_kitchen(connection, caller_id, identity)


def delete_kitchen(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    *,
    with_trials: bool,
) -> None:
    """Delete a kitchen, and its trials where that is meant; raise NotThere, Stale or NotEmpty.

    The kitchen goes first: whoever tells a trial of it waits for this, and finds it gone.
    """
    gone_at = now()
    _change(connection, caller_id, identity, expected, {"deleted_at": gone_at})
    within = (trials.c.kitchen_id == identity, trials.c.deleted_at.is_(None))
    if with_trials:
        connection.execute(update(trials).where(*within).values(deleted_at=gone_at))
    elif connection.scalar(select(trials.c.id).where(*within).limit(1)) is not None:
        raise NotEmpty("kitchen", "trials")


def _change(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    change: dict[str, Any],
) -> None:
    wanted = update(kitchens).where(*_owned(caller_id), kitchens.c.id == identity)
    if expected is not None:
        wanted = wanted.where(kitchens.c.revision.in_(expected))
    if connection.execute(wanted.values(**change)).rowcount != 1:
        raise Stale(find_kitchen(connection, caller_id, identity).revision)


def _owned(caller_id: str) -> tuple[Any, ...]:
    return (kitchens.c.caller_id == caller_id, kitchens.c.deleted_at.is_(None))
