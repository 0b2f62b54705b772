"""Trials as they are kept: each correction a version of its own, and no version ever changed.

A deleted trial is gone for its caller and for what the kitchen learns; its kitchen is
`service.store.kitchens`.
"""

from collections.abc import Collection, Iterator
from typing import Any

from sqlalchemy import Connection, Select, insert, select, update

from models.trial import StoredTrial, Trial, TrialVersion
from service.store.identities import new_identity
from service.store.kitchens import find_kitchen
from service.store.moments import now
from service.store.refusals import NotThere, Stale
from service.store.tables import trial_versions, trials

_SHOWN = (
    trials.c.id,
    trials.c.kitchen_id,
    trial_versions.c.version,
    trial_versions.c.trial,
    trials.c.created_at,
    trial_versions.c.created_at.label("changed_at"),
)
_PAGE = 500


def add_trial(connection: Connection, caller_id: str, kitchen_id: str, trial: Trial) -> StoredTrial:
    """Keep what became of a tray; raise NotThere for its kitchen."""
    find_kitchen(connection, caller_id, kitchen_id, hold=True)
    identity = new_identity("trial")
    row = {
        "id": identity,
        "kitchen_id": kitchen_id,
        "caller_id": caller_id,
        "version": 1,
        "created_at": now(),
    }
    connection.execute(insert(trials).values(**row))
    _add_version(connection, identity, 1, trial)
    return find_trial(connection, caller_id, kitchen_id, identity)


def find_trial(
    connection: Connection, caller_id: str, kitchen_id: str, identity: str
) -> StoredTrial:
    """Return a trial of a kitchen as it was told last; raise NotThere."""
    query = _joined(caller_id, kitchen_id).where(trials.c.id == identity)
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
    query = _joined(caller_id, kitchen_id).where(trials.c.id > after)
    rows = connection.execute(query.order_by(trials.c.id).limit(limit))
    return [StoredTrial(**row._mapping) for row in rows]


def each_trial(connection: Connection, caller_id: str, kitchen_id: str) -> Iterator[StoredTrial]:
    """Yield every trial of a kitchen, in the order in which they were told; raise NotThere."""
    after = ""
    while page := list_trials(connection, caller_id, kitchen_id, after, _PAGE):
        yield from page
        after = page[-1].id


def list_versions(
    connection: Connection, caller_id: str, kitchen_id: str, identity: str, after: int, limit: int
) -> list[TrialVersion]:
    """Return up to `limit` tellings that come after number `after`; raise NotThere."""
    find_trial(connection, caller_id, kitchen_id, identity)
    of = trial_versions.c
    query = select(of.version, of.trial, of.created_at).where(
        of.trial_id == identity, of.version > after
    )
    rows = connection.execute(query.order_by(of.version).limit(limit))
    return [TrialVersion(**row._mapping) for row in rows]


def correct_trial(
    connection: Connection,
    caller_id: str,
    kitchen_id: str,
    identity: str,
    expected: Collection[int] | None,
    trial: Trial,
) -> StoredTrial:
    """Keep what a trial really was; raise NotThere, or Stale unless the newest telling is
    `expected` (any, where that is None)."""
    change = {"version": trials.c.version + 1}
    _change(connection, caller_id, kitchen_id, identity, expected, change)
    number = connection.scalars(select(trials.c.version).where(trials.c.id == identity)).one()
    _add_version(connection, identity, number, trial)
    return find_trial(connection, caller_id, kitchen_id, identity)


def delete_trial(
    connection: Connection,
    caller_id: str,
    kitchen_id: str,
    identity: str,
    expected: Collection[int] | None,
) -> None:
    """Delete a trial, so that nothing is learned from it; raise NotThere, or Stale."""
    _change(connection, caller_id, kitchen_id, identity, expected, {"deleted_at": now()})


def as_told(trial: Trial) -> dict[str, Any]:
    """Return what is kept of a trial: what was told, and nothing that was left out."""
    return trial.model_dump(mode="json", exclude_unset=True)


def _change(
    connection: Connection,
    caller_id: str,
    kitchen_id: str,
    identity: str,
    expected: Collection[int] | None,
    change: dict[str, Any],
) -> None:
    wanted = update(trials).where(*_within(caller_id, kitchen_id), trials.c.id == identity)
    if expected is not None:
        wanted = wanted.where(trials.c.version.in_(expected))
    if connection.execute(wanted.values(**change)).rowcount != 1:
        raise Stale(find_trial(connection, caller_id, kitchen_id, identity).version)


def _add_version(connection: Connection, identity: str, number: int, trial: Trial) -> None:
    row = {
        "trial_id": identity,
        "version": number,
        "trial": as_told(trial),
        "created_at": now(),
    }
    connection.execute(insert(trial_versions).values(**row))


def _joined(caller_id: str, kitchen_id: str) -> Select[Any]:
    return (
        select(*_SHOWN)
        .join_from(trials, trial_versions, trials.c.id == trial_versions.c.trial_id)
        .where(*_within(caller_id, kitchen_id), trial_versions.c.version == trials.c.version)
    )


def _within(caller_id: str, kitchen_id: str) -> tuple[Any, ...]:
    return (
        trials.c.caller_id == caller_id,
        trials.c.kitchen_id == kitchen_id,
        trials.c.deleted_at.is_(None),
    )
