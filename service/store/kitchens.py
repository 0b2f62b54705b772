"""Kitchens and their trials as they are kept."""

from typing import Any

from sqlalchemy import Connection, delete, insert, select

from models.trial import Kitchen, StoredTrial, Trial
from service.store.identities import new_identity
from service.store.moments import now
from service.store.refusals import NotThere
from service.store.tables import kitchens, trials

_KITCHEN = (kitchens.c.id, kitchens.c.name, kitchens.c.created_at)
_TRIAL = (trials.c.id, trials.c.kitchen_id, trials.c.trial, trials.c.created_at)


def add_kitchen(connection: Connection, caller_id: str, name: str) -> Kitchen:
    """Keep a new kitchen."""
    made = Kitchen(id=new_identity("kit"), name=name, created_at=now())
    row = {"caller_id": caller_id, "revision": 1, **made.model_dump()}
    connection.execute(insert(kitchens).values(**row))
    return made


def find_kitchen(connection: Connection, caller_id: str, identity: str) -> Kitchen:
    """Return a kitchen; raise NotThere."""
    owned = (kitchens.c.caller_id == caller_id, kitchens.c.id == identity)
    row = connection.execute(select(*_KITCHEN).where(*owned)).one_or_none()
    if row is None:
        raise NotThere(identity)
    return Kitchen(**row._mapping)


def list_kitchens(connection: Connection, caller_id: str, after: str, limit: int) -> list[Kitchen]:
    """Return up to `limit` kitchens that come after the one named `after`."""
    query = select(*_KITCHEN).where(kitchens.c.caller_id == caller_id, kitchens.c.id > after)
    rows = connection.execute(query.order_by(kitchens.c.id).limit(limit))
    return [Kitchen(**row._mapping) for row in rows]


def add_trial(connection: Connection, caller_id: str, kitchen_id: str, trial: Trial) -> StoredTrial:
    """Keep what became of a bake; raise NotThere for its kitchen."""
    find_kitchen(connection, caller_id, kitchen_id)
    made = StoredTrial(
        id=new_identity("trial"),
        kitchen_id=kitchen_id,
        trial=trial.model_dump(mode="json", exclude_unset=True),
        created_at=now(),
    )
    connection.execute(insert(trials).values(caller_id=caller_id, **made.model_dump()))
    return made


def find_trial(
    connection: Connection, caller_id: str, kitchen_id: str, identity: str
) -> StoredTrial:
    """Return a trial of a kitchen; raise NotThere."""
    query = select(*_TRIAL).where(*_within(caller_id, kitchen_id), trials.c.id == identity)
    row = connection.execute(query).one_or_none()
    if row is None:
        raise NotThere(identity)
    return StoredTrial(**row._mapping)


def list_trials(
    connection: Connection, caller_id: str, kitchen_id: str, after: str, limit: int
) -> list[StoredTrial]:
    """Return up to `limit` trials that come after the one named `after`; raise NotThere for the
    kitchen."""
    find_kitchen(connection, caller_id, kitchen_id)
    query = select(*_TRIAL).where(*_within(caller_id, kitchen_id), trials.c.id > after)
    rows = connection.execute(query.order_by(trials.c.id).limit(limit))
    return [StoredTrial(**row._mapping) for row in rows]


def delete_trial(connection: Connection, caller_id: str, kitchen_id: str, identity: str) -> None:
    """Forget a trial that was told wrong; raise NotThere."""
    wrong = (*_within(caller_id, kitchen_id), trials.c.id == identity)
    if connection.execute(delete(trials).where(*wrong)).rowcount != 1:
        raise NotThere(identity)


def _within(caller_id: str, kitchen_id: str) -> tuple[Any, ...]:
    return (trials.c.caller_id == caller_id, trials.c.kitchen_id == kitchen_id)
