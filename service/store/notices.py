"""Notices in the store: whom to tell of a run's end, and what became of telling them.

Several senders may look at once: one that takes a notice puts off when it is due, so that no other
takes it meanwhile; one that dies over it leaves it to the next. So a notice may come twice.
"""

from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Connection, delete, insert, select, update

from models.notice import NewNotice, Notice
from models.run import Run
from service.store.moments import now
from service.store.refusals import NotThere
from service.store.runs import find_run
from service.store.tables import notices, runs

MOST_AT_ONCE = 20
LEASE = timedelta(seconds=60)
"""Longer than a try takes."""


class DueNotice(NamedTuple):
    """A notice to be sent now; `tries` counts those before."""

    run: Run
    url: str
    secret: str
    tries: int


def keep_notice(connection: Connection, caller: str, run_id: str, new: NewNotice) -> Notice:
    """Keep whom to tell of the caller's run, in place of whoever was to be told; raise NotThere."""
    find_run(connection, caller, run_id)
    # One at a time: of two at once neither would see what the other puts there.
    connection.execute(select(runs.c.id).where(runs.c.id == run_id).with_for_update())
    connection.execute(delete(notices).where(notices.c.run_id == run_id))
    row = {"run_id": run_id, "url": new.url, "secret": new.secret, "tries": 0, "due_at": now()}
    connection.execute(insert(notices).values(**row))
    return find_notice(connection, caller, run_id)


def find_notice(connection: Connection, caller: str, run_id: str) -> Notice:
    """Return whom the caller's run is to be told to, and how far that is; raise NotThere."""
    find_run(connection, caller, run_id)
    row = connection.execute(select(notices).where(notices.c.run_id == run_id)).first()
    if row is None:
        raise NotThere(run_id)
    shown = {name: getattr(row, name) for name in Notice.model_fields}
    return Notice(**shown)


def forget_notice(connection: Connection, caller: str, run_id: str) -> None:
    """Tell nobody of the caller's run; raise NotThere."""
    find_notice(connection, caller, run_id)
    connection.execute(delete(notices).where(notices.c.run_id == run_id))


def take_due(connection: Connection) -> list[DueNotice]:
    """Return notices of runs that are over, for this sender alone for as long as a lease."""
    moment = now()
    over = (runs.c.state.in_(("finished", "cancelled")), runs.c.deleted_at.is_(None))
    due = (
        select(notices, runs.c.caller_id)
        .join(runs, runs.c.id == notices.c.run_id)
        .where(notices.c.due_at <= moment, *over)
        .order_by(notices.c.due_at)
        .limit(MOST_AT_ONCE)
    )
    return [
        DueNotice(find_run(connection, row.caller_id, row.run_id), row.url, row.secret, row.tries)
        for row in connection.execute(due).all()
        if _put_off(connection, row, moment + LEASE)
    ]


def note_delivered(connection: Connection, notice: DueNotice, answered: str) -> None:
    """Note that a notice has come; its secret is needed no more."""
    _note(connection, notice, answered, due_at=None, delivered_at=now(), secret="")


def note_failed(
    connection: Connection, notice: DueNotice, answered: str, pause: timedelta | None
) -> None:
    """Note why a notice has not come; it is tried again after `pause`, never where that is None."""
    due_at = None if pause is None else now() + pause
    _note(connection, notice, answered, due_at=due_at)


def _put_off(connection: Connection, row: Any, due_at: datetime) -> bool:
    as_seen = (notices.c.run_id == row.run_id, notices.c.due_at == row.due_at)
    taken = connection.execute(update(notices).where(*as_seen).values(due_at=due_at))
    return taken.rowcount == 1


def _note(connection: Connection, notice: DueNotice, answered: str, **change: Any) -> None:
    """Note a try, unless the caller has named another address meanwhile."""
    same = (notices.c.run_id == notice.run.id, notices.c.url == notice.url)
    change |= {"tries": notice.tries + 1, "answered": answered[:200]}
    connection.execute(update(notices).where(*same).values(**change))
