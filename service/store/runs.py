"""Runs in the store: entering one, finding it again, its state, and what it still lacks.

What came of each recipe is `service.store.run_items`; the words of a run are `models.run`.
"""

import hashlib
import json
from collections.abc import Collection, Iterator
from typing import Any, NamedTuple

from sqlalchemy import Connection, delete, func, insert, literal, select, update
from sqlalchemy.exc import IntegrityError

from models.learning import Taught
from models.run import Run, RunBrief
from service.store.catalogues import find_catalogue
from service.store.identities import new_identity
from service.store.moments import now
from service.store.refusals import AtWork, NotThere, Stale
from service.store.run_items import count_outcomes, recent_rate
from service.store.tables import notices, recipes, run_items, run_recipes, runs

CHUNK_RECIPES = 50
"""How many recipes make a chunk: few enough to share a small run, enough to make handing out a
chunk cheap."""

_OPEN = ("queued", "running")
_PAGE = 1000


class Chunk(NamedTuple):
    """Recipes of a run from position `first` up to, not including, `last`."""

    run_id: str
    first: int
    last: int

    def one_by_one(self) -> "Iterator[Chunk]":
        """Yield a chunk for each recipe of this one."""
        return (Chunk(self.run_id, at, at + 1) for at in range(self.first, self.last))


def enter_run(connection: Connection, caller: str, brief: RunBrief) -> tuple[str, bool]:
    """Return the run of `brief` over the catalogue as it stands, and whether it is new.

    The same brief over the same versions is the same run; one that was cancelled goes on. Raises
    NotThere for the catalogue.
    """
    find_catalogue(connection, caller, brief.catalogue_id)
    run_id = new_identity("run")
    attempt = connection.begin_nested()
    fingerprint = _freeze(connection, run_id, caller, brief)
    if _known(connection, caller, fingerprint) is None:
        try:
            mark = update(runs).where(runs.c.id == run_id).values(fingerprint=fingerprint)
            connection.execute(mark)
            attempt.commit()
            return run_id, True
        except IntegrityError:  # someone else has entered it in this moment
            pass
    attempt.rollback()
    known = _known(connection, caller, fingerprint)
    if known is None:  # what stood in the way was deleted in this moment
        return enter_run(connection, caller, brief)
    _set_state(connection, known, "queued", from_states=("cancelled",), finished_at=None)
    return known, False


def _known(connection: Connection, caller: str, fingerprint: bytes) -> str | None:
    same = (runs.c.caller_id == caller) & (runs.c.fingerprint == fingerprint)
    return connection.execute(select(runs.c.id).where(same)).scalar()


def _freeze(connection: Connection, run_id: str, caller: str, brief: RunBrief) -> bytes:
    """Keep the versions that the run goes over; return the fingerprint of brief and versions.

    The versions are read back from what was kept, so that the fingerprint is of just these.
    """
    connection.execute(
        insert(runs).values(
            id=run_id,
            caller_id=caller,
            catalogue_id=brief.catalogue_id,
            brief=brief.model_dump(mode="json", exclude_unset=True),  # as it was written
            taught=None if brief.taught is None else brief.taught.model_dump(mode="json"),
            fingerprint=run_id.encode(),  # until it is reckoned below
            state="queued",
            total=0,
            created_at=now(),
        )
    )
    position = func.row_number().over(order_by=recipes.c.id) - 1
    in_catalogue = select(literal(run_id), position, recipes.c.id, recipes.c.version).where(
        recipes.c.catalogue_id == brief.catalogue_id,
        recipes.c.caller_id == caller,
        recipes.c.deleted_at.is_(None),
    )
    columns = ["run_id", "position", "recipe_id", "version"]
    connection.execute(insert(run_recipes).from_select(columns, in_catalogue))
    digest = hashlib.sha256(_meaning(brief))
    total = 0
    for kept in _frozen(connection, run_id):
        digest.update(f"\n{kept.recipe_id} {kept.version}".encode())
        total += 1
    connection.execute(update(runs).where(runs.c.id == run_id).values(total=total))
    return digest.digest()


def _meaning(brief: RunBrief) -> bytes:
    """Return the brief so that two who ask the same are equal to the byte."""
    asked = brief.model_dump(mode="json")
    if brief.taught is None:
        del asked["kitchen"]  # as it was before kitchens could be named
    else:
        asked["taught"] = brief.taught.model_dump(mode="json")
    return json.dumps(asked, sort_keys=True).encode()


def _frozen(connection: Connection, run_id: str) -> Iterator[Any]:
    versions = (
        select(run_recipes.c.recipe_id, run_recipes.c.version)
        .where(run_recipes.c.run_id == run_id)
        .order_by(run_recipes.c.position)
        .execution_options(yield_per=_PAGE)
    )
    yield from connection.execute(versions)


def find_run(connection: Connection, caller: str, run_id: str) -> Run:
    """Return the caller's run, and how far it has come; raise NotThere."""
    row = connection.execute(select(runs).where(runs.c.id == run_id, *_owned(caller))).first()
    if row is None:
        raise NotThere(run_id)
    return _run(connection, row)


def list_runs(
    connection: Connection, caller: str, catalogue_id: str | None, after: str, limit: int
) -> list[Run]:
    """Return up to `limit` of the caller's runs that come after the one named `after`; raise
    NotThere for the catalogue."""
    mine = select(runs).where(*_owned(caller), runs.c.id > after)
    if catalogue_id is not None:
        find_catalogue(connection, caller, catalogue_id)
        mine = mine.where(runs.c.catalogue_id == catalogue_id)
    rows = connection.execute(mine.order_by(runs.c.id).limit(limit)).all()
    return [_run(connection, row) for row in rows]


def _run(connection: Connection, row: Any) -> Run:
    outcomes = count_outcomes(connection, row.id)
    done = sum(outcomes.values())
    rate = recent_rate(connection, row.id, now() if row.state == "running" else row.finished_at)
    left = row.total - done
    return Run(
        id=row.id,
        title=row.title,
        revision=row.revision,
        catalogue_id=row.catalogue_id,
        brief=row.brief,
        state=row.state,
        total=row.total,
        done=done,
        outcomes=outcomes,
        recipes_per_second=rate,
        seconds_left=left / rate if rate and row.state == "running" else None,
        created_at=row.created_at,
        started_at=row.started_at,
        finished_at=row.finished_at,
    )


def open_runs(connection: Connection) -> list[tuple[str, int]]:
    """Return every caller's runs that are not over, the oldest first, and how many recipes each."""
    still_open = select(runs.c.id, runs.c.total).where(runs.c.state.in_(_OPEN)).order_by(runs.c.id)
    return [(run_id, total) for run_id, total in connection.execute(still_open)]


def lacking_chunks(connection: Connection, run_id: str, total: int) -> list[Chunk]:
    """Return the chunks of which not every recipe is done, in the order of the catalogue."""
    number = run_items.c.position // CHUNK_RECIPES
    counts = select(number, func.count()).where(run_items.c.run_id == run_id).group_by(number)
    done_in: dict[int, int] = {row[0]: row[1] for row in connection.execute(counts)}
    chunks = (
        Chunk(run_id, first, min(first + CHUNK_RECIPES, total))
        for first in range(0, total, CHUNK_RECIPES)
    )
    return [c for c in chunks if done_in.get(c.first // CHUNK_RECIPES, 0) < c.last - c.first]


def brief_to_run(connection: Connection, run_id: str) -> RunBrief | None:
    """Return what an open run asks, or None where the run is over."""
    is_it = (runs.c.id == run_id, runs.c.state.in_(_OPEN))
    row = connection.execute(select(runs.c.brief, runs.c.taught).where(*is_it)).first()
    if row is None:
        return None
    brief = RunBrief.model_validate_json(json.dumps(row.brief))
    if row.taught is None:
        return brief
    return brief.taught_by(Taught.model_validate_json(json.dumps(row.taught)))


def is_open(connection: Connection, run_id: str) -> bool:
    """Tell whether the run is to go on."""
    return connection.execute(select(runs.c.state).where(runs.c.id == run_id)).scalar() in _OPEN


def mark_running(connection: Connection, run_id: str) -> None:
    """Note that the first recipes are at work."""
    _set_state(
        connection,
        run_id,
        "running",
        from_states=("queued",),
        started_at=func.coalesce(runs.c.started_at, now()),
    )


def cancel_run(connection: Connection, caller: str, run_id: str) -> Run:
    """Let an open run go no further, and return it; raise NotThere."""
    find_run(connection, caller, run_id)
    _set_state(connection, run_id, "cancelled", from_states=_OPEN, finished_at=now())
    return find_run(connection, caller, run_id)


def rename_run(
    connection: Connection, caller: str, run_id: str, expected: Collection[int] | None, title: str
) -> Run:
    """Give a run a title; raise NotThere, or Stale unless its revision is `expected` (any, where
    that is None)."""
    wanted = _expected(caller, run_id, expected)
    change = {"title": title, "revision": runs.c.revision + 1}
    if connection.execute(update(runs).where(*wanted).values(**change)).rowcount != 1:
        raise Stale(find_run(connection, caller, run_id).revision)
    return find_run(connection, caller, run_id)


def delete_run(
    connection: Connection, caller: str, run_id: str, expected: Collection[int] | None
) -> None:
    """Delete a run that is over, with all that came of it; raise NotThere, Stale or AtWork.

    Its row stays, for whoever still works on a chunk of it, and stands for no brief any more.
    """
    wanted = (*_expected(caller, run_id, expected), runs.c.state.not_in(_OPEN))
    change = {"deleted_at": now(), "fingerprint": run_id.encode()}
    if connection.execute(update(runs).where(*wanted).values(**change)).rowcount != 1:
        found = find_run(connection, caller, run_id)
        raise Stale(found.revision) if found.is_over else AtWork(run_id)
    for rows in (run_items, run_recipes, notices):
        connection.execute(delete(rows).where(rows.c.run_id == run_id))


def _expected(caller: str, run_id: str, expected: Collection[int] | None) -> tuple[Any, ...]:
    revision = () if expected is None else (runs.c.revision.in_(expected),)
    return (runs.c.id == run_id, *_owned(caller), *revision)


def _owned(caller: str) -> tuple[Any, ...]:
    return (runs.c.caller_id == caller, runs.c.deleted_at.is_(None))


def finish_if_complete(connection: Connection, run_id: str) -> None:
    """Note the end of an open run of which every recipe is done."""
    done = select(func.count()).where(run_items.c.run_id == run_id).scalar_subquery()
    connection.execute(
        update(runs)
        .where(runs.c.id == run_id, runs.c.state.in_(_OPEN), runs.c.total == done)
        .values(state="finished", finished_at=now())
    )


def _set_state(
    connection: Connection, run_id: str, state: str, from_states: tuple[str, ...], **values: Any
) -> None:
    here = (runs.c.id == run_id) & runs.c.state.in_(from_states) & runs.c.deleted_at.is_(None)
    connection.execute(update(runs).where(here).values(state=state, **values))
