"""Taking a run's changes over: new versions of recipes that nobody has changed since.

What the new version says is `service.exchange.taken_over`; how rows stand on a shelf is
`service.store.shelf`.
"""

from collections.abc import Collection, Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, select

from models.run_changes import Fate
from service.store.database import Database
from service.store.shelf import ShelfRow, find_rows, revise_rows
from service.store.tables import run_recipes

_AT_ONCE = 500


class Change(NamedTuple):
    """What a recipe is to be, if it still is as it was at `version`."""

    recipe_id: str
    version: int
    row: ShelfRow


class TakenOver(NamedTuple):
    """What became of a change, and the version at which the recipe stands; none for one gone."""

    recipe_id: str
    version: int | None
    fate: Fate


def take_over(
    connection: Connection, caller_id: str, changes: Sequence[Change]
) -> Iterator[TakenOver]:
    """Keep each of `changes` as a new version, unless its recipe has changed since or is gone.

    The recipes are held meanwhile, so nothing that somebody writes in this moment is lost.
    """
    standing = find_rows(connection, caller_id, [change.recipe_id for change in changes])
    kept = [
        (change.row, standing[change.recipe_id])
        for change in changes
        if change.recipe_id in standing and standing[change.recipe_id].version == change.version
    ]
    revise_rows(connection, kept)
    for change in changes:
        old = standing.get(change.recipe_id)
        if old is None:
            yield TakenOver(change.recipe_id, None, "deleted")
        elif old.version == change.version:
            yield TakenOver(change.recipe_id, old.version + 1, "applied")
        elif change.row.is_same_as(ShelfRow.of(old)):
            yield TakenOver(change.recipe_id, old.version, "already_applied")
        else:
            yield TakenOver(change.recipe_id, old.version, "changed_since")


def strangers_to(database: Database, run_id: str, recipe_ids: Collection[str]) -> set[str]:
    """Return those of `recipe_ids` that the run did not go over."""
    wanted = list(recipe_ids)
    within = select(run_recipes.c.recipe_id).where(
        run_recipes.c.run_id == run_id,
        run_recipes.c.recipe_id.in_(bindparam("names", expanding=True)),
    )
    found: set[Any] = set()
    with database.reading() as connection:
        for at in range(0, len(wanted), _AT_ONCE):
            names = {"names": wanted[at : at + _AT_ONCE]}
            found |= set(connection.scalars(within, names))
    return set(wanted) - found
