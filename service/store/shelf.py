"""A catalogue's shelf in the store: many recipes put there at once, and all of them taken down.

A recipe that differs from what stands there becomes a new version; one that does not, changes
nothing. One recipe at a time is the business of `service.store.recipes`; what a file says is that
of `service.exchange`.
"""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from pydantic import ValidationError
from sqlalchemy import Connection, Row, and_, bindparam, func, insert, or_, select, update

from models.recipe import Recipe
from service.store.catalogues import find_catalogue
from service.store.database import Database
from service.store.identities import new_identity
from service.store.moments import now
from service.store.tables import (
    catalogues,
    recipe_versions,
    recipes,
    run_items,
    run_recipes,
)

_PAGE = 200
_IS_NEWEST = (recipe_versions.c.recipe_id == recipes.c.id) & (
    recipe_versions.c.version == recipes.c.version
)


class ShelfRow(NamedTuple):
    """A recipe as it is kept: by the name it has where it came from, with all that came with it."""

    external_id: str
    title: str | None
    recipe: dict[str, Any] | None
    unread: list[Any]
    extras: dict[str, Any]

    @classmethod
    def of(cls, row: Row[Any]) -> "ShelfRow":
        """Return what a row of the tables keeps; without a name it goes by its own identity."""
        name = row.external_id or row.id
        return cls(name, row.title, row.recipe, row.unread, row.extras)

    def is_same_as(self, other: "ShelfRow") -> bool:
        """Tell whether both say the same, however much of it they leave unsaid."""
        rest = (self.title, self.unread, self.extras) == (other.title, other.unread, other.extras)
        return rest and (self.recipe == other.recipe or _mean_the_same(self.recipe, other.recipe))


class Put(NamedTuple):
    """How many recipes were new, how many changed, and how many stood there already."""

    created: int
    updated: int
    unchanged: int


def put_rows(
    connection: Connection, caller_id: str, catalogue_id: str, rows: Sequence[ShelfRow]
) -> Put:
    """Keep `rows`, each of another name; raise NotThere for the catalogue.

    The catalogue is held, so that two imports into it take turns.
    """
    find_catalogue(connection, caller_id, catalogue_id)
    held = select(catalogues.c.id).where(catalogues.c.id == catalogue_id).with_for_update()
    connection.execute(held)
    standing = {
        row.external_id or row.id: row
        for row in connection.execute(_standing(catalogue_id, [row.external_id for row in rows]))
    }
    new = [row for row in rows if row.external_id not in standing]
    changed = [
        (row, standing[row.external_id])
        for row in rows
        if row.external_id in standing
        and not row.is_same_as(ShelfRow.of(standing[row.external_id]))
    ]
    _add(connection, caller_id, catalogue_id, new)
    revise_rows(connection, changed)
    return Put(len(new), len(changed), len(rows) - len(new) - len(changed))


def names_by_title(
    connection: Connection, caller_id: str, catalogue_id: str, titles: Sequence[str]
) -> dict[str, list[str]]:
    """Return by title the names of the catalogue's recipes that are named by their content; two of
    each at most."""
    found = select(
        recipe_versions.c.title,
        func.min(recipes.c.external_id),
        func.max(recipes.c.external_id),
    ).join_from(recipe_versions, recipes, _IS_NEWEST)
    within = found.where(
        recipe_versions.c.title.in_(titles),
        recipes.c.catalogue_id == catalogue_id,
        recipes.c.caller_id == caller_id,
        recipes.c.deleted_at.is_(None),
        recipes.c.external_id.like("sha256:%"),
    )
    rows = connection.execute(within.group_by(recipe_versions.c.title))
    return {title: sorted({first, last}) for title, first, last in rows}


def each_row(database: Database, caller_id: str, catalogue_id: str) -> Iterator[ShelfRow]:
    """Yield every recipe of a catalogue, the oldest first; raise NotThere for the catalogue.

    No transaction stays open between pages, however slowly they are read.
    """
    after = ""
    while True:
        with database.reading() as connection:
            find_catalogue(connection, caller_id, catalogue_id)
            query = _newest().where(recipes.c.catalogue_id == catalogue_id, recipes.c.id > after)
            page = connection.execute(query.order_by(recipes.c.id).limit(_PAGE)).all()
        yield from map(ShelfRow.of, page)
        if len(page) < _PAGE:
            return
        after = page[-1].id


class RunRow(NamedTuple):
    """An item of a run, as `models.run.RunItem`, beside the recipe that it is about."""

    item: dict[str, Any]
    row: ShelfRow


def each_run_row(database: Database, run_id: str, outcome: str | None = None) -> Iterator[RunRow]:
    """Yield every item of a run with its recipe, or those of one outcome, in the run's order, a
    page at a time."""
    after = -1
    while True:
        with database.reading() as connection:
            asked = _run_page(run_id, after)
            if outcome is not None:
                asked = asked.where(run_items.c.outcome == outcome)
            page = connection.execute(asked).all()
        yield from (RunRow(_item_of(dict(row._mapping)), ShelfRow.of(row)) for row in page)
        if len(page) < _PAGE:
            return
        after = page[-1].position


def _mean_the_same(one: dict[str, Any] | None, other: dict[str, Any] | None) -> bool:
    if one is None or other is None:
        return False
    try:
        first, second = (Recipe.model_validate(x, strict=False) for x in (one, other))
    except ValidationError:  # kept when another table of ingredients could read it
        return False
    return first == second


def _add(
    connection: Connection, caller_id: str, catalogue_id: str, rows: Sequence[ShelfRow]
) -> None:
    if not rows:
        return
    made = now()
    named = [(new_identity("rec"), row) for row in rows]
    shared = {"caller_id": caller_id, "catalogue_id": catalogue_id, "version": 1}
    connection.execute(
        insert(recipes),
        [
            {"id": identity, "external_id": row.external_id, "created_at": made, **shared}
            for identity, row in named
        ],
    )
    versions = [_version(identity, 1, row, made) for identity, row in named]
    connection.execute(insert(recipe_versions), versions)


def find_rows(
    connection: Connection, caller_id: str, identities: Sequence[str]
) -> dict[str, Row[Any]]:
    """Return the newest versions of the caller's recipes by identity, held against change."""
    mine = (recipes.c.caller_id == caller_id, recipes.c.id.in_(identities))
    rows = connection.execute(_newest().where(*mine).with_for_update(of=recipes))
    return {row.id: row for row in rows}


def revise_rows(connection: Connection, changed: Sequence[tuple[ShelfRow, Row[Any]]]) -> None:
    """Keep each row as the next version of the one beside it."""
    if not changed:
        return
    made = now()
    versions = [_version(old.id, old.version + 1, row, made) for row, old in changed]
    connection.execute(
        update(recipes).where(recipes.c.id == bindparam("of")).values(version=bindparam("next")),
        [{"of": old.id, "next": old.version + 1} for _, old in changed],
    )
    connection.execute(insert(recipe_versions), versions)


def _version(identity: str, number: int, row: ShelfRow, made: Any) -> dict[str, Any]:
    return {
        "recipe_id": identity,
        "version": number,
        "title": row.title,
        "recipe": row.recipe,
        "unread": row.unread,
        "extras": row.extras,
        "created_at": made,
    }


def _newest() -> Any:
    return (
        select(
            recipes.c.id,
            recipes.c.external_id,
            recipes.c.version,
            recipe_versions.c.title,
            recipe_versions.c.recipe,
            recipe_versions.c.unread,
            recipe_versions.c.extras,
        )
        .join_from(recipes, recipe_versions, _IS_NEWEST)
        .where(recipes.c.deleted_at.is_(None))
    )


def _standing(catalogue_id: str, names: Sequence[str]) -> Any:
    """Select what stands under `names`; a recipe without a name goes by its own identity."""
    by_identity = and_(recipes.c.external_id.is_(None), recipes.c.id.in_(names))
    return (
        _newest()
        .where(recipes.c.catalogue_id == catalogue_id)
        .where(or_(recipes.c.external_id.in_(names), by_identity))
        .with_for_update(of=recipes)
    )


def _run_page(run_id: str, after: int) -> Any:
    frozen = (run_recipes.c.run_id == run_items.c.run_id) & (
        run_recipes.c.position == run_items.c.position
    )
    version = (recipe_versions.c.recipe_id == run_recipes.c.recipe_id) & (
        recipe_versions.c.version == run_recipes.c.version
    )
    return (
        select(
            run_items.c.position,
            run_items.c.outcome,
            run_items.c.result,
            recipes.c.id,
            recipes.c.external_id,
            *(run_recipes.c.version, recipe_versions.c.title, recipe_versions.c.recipe),
            *(recipe_versions.c.unread, recipe_versions.c.extras),
        )
        .join_from(run_items, run_recipes, frozen)
        .join(recipes, recipes.c.id == run_recipes.c.recipe_id)
        .join(recipe_versions, version)
        .where(run_items.c.run_id == run_id, run_items.c.position > after)
        .order_by(run_items.c.position)
        .limit(_PAGE)
    )


def _item_of(found: dict[str, Any]) -> dict[str, Any]:
    named = ("position", "version", "external_id", "title", "outcome")
    return {"recipe_id": found["id"], **{name: found[name] for name in named}, **found["result"]}
