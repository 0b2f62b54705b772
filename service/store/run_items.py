"""A run's items in the store: one row for each recipe that is done, and the truth about the run.

The run itself is `service.store.runs`.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, Select, func, select
from sqlalchemy.dialects import postgresql, sqlite

from models.run import ITEM_OUTCOMES, ItemOutcome, ItemResult
from service.store.database import Database
from service.store.moments import now
from service.store.tables import recipe_versions, recipes, run_items, run_recipes

_RECENT = 100
"""How many of the latest recipes the rate is taken over: enough to be steady, few to read."""
_PAGE = 200


class FrozenRecipe(NamedTuple):
    """A recipe to do: its place in the run, and the version as it was kept."""

    position: int
    recipe: Mapping[str, Any] | None
    unread: Any


class Done(NamedTuple):
    """What came of one recipe, and when."""

    position: int
    outcome: ItemOutcome
    result: ItemResult
    at: datetime

    @classmethod
    def of(cls, position: int, outcome: ItemOutcome, result: ItemResult) -> "Done":
        """Note what came of the recipe just now."""
        return cls(position, outcome, result, now())


def recipes_to_do(connection: Connection, run_id: str, first: int, last: int) -> list[FrozenRecipe]:
    """Return the recipes of the run from position `first` up to `last` that have no item yet."""
    done = select(run_items.c.position).where(
        run_items.c.run_id == run_id, run_items.c.position.between(first, last - 1)
    )
    here = run_recipes.c.position
    to_do = (
        select(here, recipe_versions.c.recipe, recipe_versions.c.unread)
        .join_from(run_recipes, recipe_versions, _its_version())
        .where(run_recipes.c.run_id == run_id, here.between(first, last - 1), here.not_in(done))
        .order_by(here)
    )
    return [FrozenRecipe(*row) for row in connection.execute(to_do)]


def keep_items(connection: Connection, run_id: str, done: Sequence[Done]) -> None:
    """Keep what came of the recipes; one that is there already stays as it is."""
    rows = [
        {
            "run_id": run_id,
            "position": item.position,
            "outcome": item.outcome,
            "result": item.result.model_dump(mode="json", by_alias=True),
            "finished_at": item.at,
        }
        for item in done
    ]
    if rows:
        dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
        connection.execute(dialect.insert(run_items).on_conflict_do_nothing(), rows)


def count_outcomes(connection: Connection, run_id: str) -> dict[ItemOutcome, int]:
    """Return how many recipes are done, by what came of them; all outcomes, in their order."""
    kinds = run_items.c.outcome
    counts = select(kinds, func.count()).where(run_items.c.run_id == run_id).group_by(kinds)
    found: dict[str, int] = {row[0]: row[1] for row in connection.execute(counts)}
    return {outcome: found.get(outcome, 0) for outcome in ITEM_OUTCOMES}


def recent_rate(connection: Connection, run_id: str, until: datetime | None) -> float | None:
    """Return how many recipes a second were done of late; None where that cannot be told."""
    latest = (
        select(run_items.c.finished_at)
        .where(run_items.c.run_id == run_id)
        .order_by(run_items.c.position.desc())
        .limit(_RECENT)
    )
    moments = connection.execute(latest).scalars().all()
    if until is None or not moments:
        return None
    seconds = (until - min(moments)).total_seconds()
    return len(moments) / seconds if seconds > 0 else None


def items_after(
    connection: Connection, run_id: str, after: int, outcome: str | None, most: int
) -> list[dict[str, Any]]:
    """Return up to `most` items that stand after position `after`, as `models.run.RunItem`."""
    page = _items(run_id).where(run_items.c.position > after).limit(most)
    if outcome is not None:
        page = page.where(run_items.c.outcome == outcome)
    rows = [dict(row._mapping) for row in connection.execute(page)]
    results = [row.pop("result") for row in rows]
    return [{**row, **result} for row, result in zip(rows, results, strict=True)]


def item_pages(
    database: Database, run_id: str, after: int, outcome: str | None
) -> Iterator[list[dict[str, Any]]]:
    """Yield every item of the run that stands after position `after`, a page at a time.

    No transaction stays open between pages, however slowly they are read.
    """
    full = True
    while full:
        with database.reading() as connection:
            page = items_after(connection, run_id, after, outcome, _PAGE)
        if page:
            yield page
            after = page[-1]["position"]
        full = len(page) == _PAGE


def _items(run_id: str) -> Select[Any]:
    frozen = (run_recipes.c.run_id == run_items.c.run_id) & (
        run_recipes.c.position == run_items.c.position
    )
    return (
        select(
            run_items.c.position,
            run_recipes.c.recipe_id,
            run_recipes.c.version,
            recipes.c.external_id,
            recipe_versions.c.title,
            run_items.c.outcome,
            run_items.c.result,
        )
        .join_from(run_items, run_recipes, frozen)
        .join(recipes, recipes.c.id == run_recipes.c.recipe_id)
        .join(recipe_versions, _its_version())
        .where(run_items.c.run_id == run_id)
        .order_by(run_items.c.position)
    )


def _its_version() -> Any:
    return (recipe_versions.c.recipe_id == run_recipes.c.recipe_id) & (
        recipe_versions.c.version == run_recipes.c.version
    )
