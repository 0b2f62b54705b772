"""Catalogues as they are kept. A deleted one is gone for its caller, not for runs over it."""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, insert, select, update

from models.catalogue import Catalogue
from service.store.identities import new_identity
from service.store.moments import now
from service.store.refusals import NotEmpty, NotThere, Stale
from service.store.tables import catalogues, recipes

_SHOWN = (catalogues.c.id, catalogues.c.title, catalogues.c.revision, catalogues.c.created_at)


def add_catalogue(connection: Connection, caller_id: str, title: str) -> Catalogue:
    """Keep a new catalogue."""
    made = Catalogue(id=new_identity("cat"), title=title, revision=1, created_at=now())
    connection.execute(insert(catalogues).values(caller_id=caller_id, **made.model_dump()))
    return made


def find_catalogue(
    connection: Connection, caller_id: str, identity: str, *, hold: bool = False
) -> Catalogue:
    """Return a catalogue, held against deletion until the transaction ends; raise NotThere."""
    query = select(*_SHOWN).where(*_owned(caller_id), catalogues.c.id == identity)
    row = connection.execute(query.with_for_update(read=True) if hold else query).one_or_none()
    if row is None:
        raise NotThere(identity)
    return Catalogue(**row._mapping)


def list_catalogues(
    connection: Connection, caller_id: str, after: str, limit: int
) -> list[Catalogue]:
    """Return up to `limit` catalogues that come after the one named `after`."""
    query = select(*_SHOWN).where(*_owned(caller_id), catalogues.c.id > after)
    rows = connection.execute(query.order_by(catalogues.c.id).limit(limit))
    return [Catalogue(**row._mapping) for row in rows]


def rename_catalogue(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    title: str,
) -> Catalogue:
    """Give a catalogue another title; raise NotThere, or Stale unless its revision is `expected`
    (any, where that is None)."""
    change = {"title": title, "revision": catalogues.c.revision + 1}
    _change(connection, caller_id, identity, expected, change)
    return find_catalogue(connection, caller_id, identity)


def delete_catalogue(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    *,
    with_recipes: bool,
) -> None:
    """Delete a catalogue, and its recipes where that is meant; raise NotThere, Stale or NotEmpty.

    The catalogue goes first: whoever adds a recipe to it waits for this, and finds it gone.
    """
    gone_at = now()
    _change(connection, caller_id, identity, expected, {"deleted_at": gone_at})
    within = (recipes.c.catalogue_id == identity, recipes.c.deleted_at.is_(None))
    if with_recipes:
        connection.execute(update(recipes).where(*within).values(deleted_at=gone_at))
    elif connection.scalar(select(recipes.c.id).where(*within).limit(1)) is not None:
        raise NotEmpty("catalogue", "recipes")


def _change(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    change: dict[str, Any],
) -> None:
    wanted = update(catalogues).where(*_owned(caller_id), catalogues.c.id == identity)
    if expected is not None:
        wanted = wanted.where(catalogues.c.revision.in_(expected))
    if connection.execute(wanted.values(**change)).rowcount != 1:
        raise Stale(find_catalogue(connection, caller_id, identity).revision)


def _owned(caller_id: str) -> tuple[Any, ...]:
    return (catalogues.c.caller_id == caller_id, catalogues.c.deleted_at.is_(None))
