"""Recipes as they are kept: each change a version of its own, and no version ever changed.

A deleted recipe is gone for its caller; its versions stay for the runs that went over them.
"""

from collections.abc import Collection
from typing import Any, NamedTuple

from pydantic import ValidationError
from sqlalchemy import Connection, Select, insert, select, update

from models.catalogue import NewRecipe, RecipeEntry, RecipeVersion, StoredRecipe
from models.recipe import Recipe
from service.store.catalogues import find_catalogue
from service.store.identities import new_identity
from service.store.inserting import insert_if_absent
from service.store.moments import now
from service.store.refusals import NotThere, Stale, Taken
from service.store.tables import recipe_versions, recipes

_CHANGED_AT = recipe_versions.c.created_at.label("changed_at")
_ENTRY = (
    recipes.c.id,
    recipe_versions.c.version,
    recipes.c.catalogue_id,
    recipes.c.external_id,
    recipes.c.created_at,
    _CHANGED_AT,
)
_WORDS = (recipe_versions.c.recipe, recipe_versions.c.unread, recipe_versions.c.extras)


def add_recipe(connection: Connection, caller_id: str, new: NewRecipe) -> StoredRecipe:
    """Keep a new recipe; raise NotThere for its catalogue, Taken for its external id."""
    if new.catalogue_id is not None:
        find_catalogue(connection, caller_id, new.catalogue_id, hold=True)
    identity = new_identity("rec")
    row = {
        "id": identity,
        "caller_id": caller_id,
        "catalogue_id": new.catalogue_id,
        "external_id": new.external_id,
        "version": 1,
        "created_at": now(),
    }
    if not insert_if_absent(connection, recipes, row):
        raise Taken(new.external_id)
    _add_version(connection, identity, 1, new.recipe, {})
    return find_recipe(connection, caller_id, identity)


def find_recipe(
    connection: Connection, caller_id: str, identity: str, version: int | None = None
) -> StoredRecipe:
    """Return a recipe at one version, the newest where none is named; raise NotThere."""
    query = _joined(caller_id, *_ENTRY, *_WORDS).where(
        recipes.c.id == identity,
        recipe_versions.c.version == (recipes.c.version if version is None else version),
    )
    row = connection.execute(query).one_or_none()
    if row is None:
        raise NotThere(identity)
    return StoredRecipe(**row._mapping, remarks=_remarks(row.recipe))


def _remarks(written: dict[str, Any] | None) -> tuple[str, ...]:
    try:
        recipe = None if written is None else Recipe.model_validate(written, strict=False)
    except ValidationError:  # kept when another table of ingredients could read it
        return ("Its lines no longer read as they are; send it anew.",)
    if recipe is None or recipe.has_flour:
        return ()
    return (
        "It has no flour, and every ratio is a share of the flour: it is kept, and left alone.",
    )


class Sought(NamedTuple):
    """Which recipes are looked for: by catalogue, by what they are called elsewhere, by title."""

    catalogue_id: str | None = None
    external_id: str | None = None
    title: str | None = None


def list_recipes(
    connection: Connection, caller_id: str, sought: Sought, after: str, limit: int
) -> list[RecipeEntry]:
    """Return up to `limit` recipes that come after the one named `after`; raise NotThere for the
    catalogue."""
    query = _joined(caller_id, *_ENTRY, recipe_versions.c.title).where(
        recipes.c.id > after, recipe_versions.c.version == recipes.c.version
    )
    if sought.catalogue_id is not None:
        find_catalogue(connection, caller_id, sought.catalogue_id)
        query = query.where(recipes.c.catalogue_id == sought.catalogue_id)
    if sought.external_id is not None:
        query = query.where(recipes.c.external_id == sought.external_id)
    if sought.title is not None:
        query = query.where(recipe_versions.c.title == sought.title)
    rows = connection.execute(query.order_by(recipes.c.id).limit(limit))
    return [RecipeEntry(**row._mapping) for row in rows]


def list_versions(
    connection: Connection, caller_id: str, identity: str, after: int, limit: int
) -> list[RecipeVersion]:
    """Return up to `limit` versions that come after number `after`; raise NotThere."""
    find_recipe(connection, caller_id, identity)
    of = recipe_versions.c
    query = select(of.version, of.title, of.created_at).where(
        of.recipe_id == identity, of.version > after
    )
    rows = connection.execute(query.order_by(of.version).limit(limit))
    return [RecipeVersion(**row._mapping) for row in rows]


def revise_recipe(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    recipe: Recipe,
) -> StoredRecipe:
    """Keep a new version; raise NotThere, or Stale unless the newest is `expected` (any, where that
    is None). What an import brought along and nobody understood stays with the recipe."""
    _change(connection, caller_id, identity, expected, {"version": recipes.c.version + 1})
    number = connection.scalars(select(recipes.c.version).where(recipes.c.id == identity)).one()
    before = find_recipe(connection, caller_id, identity, number - 1)
    _add_version(connection, identity, number, recipe, before.extras)
    return find_recipe(connection, caller_id, identity)


def delete_recipe(
    connection: Connection, caller_id: str, identity: str, expected: Collection[int] | None
) -> None:
    """Delete a recipe; raise NotThere, or Stale. Its external id may be used again."""
    gone = {"deleted_at": now(), "external_id": None}
    _change(connection, caller_id, identity, expected, gone)


def _change(
    connection: Connection,
    caller_id: str,
    identity: str,
    expected: Collection[int] | None,
    change: dict[str, Any],
) -> None:
    wanted = update(recipes).where(
        recipes.c.caller_id == caller_id, recipes.c.deleted_at.is_(None), recipes.c.id == identity
    )
    if expected is not None:
        wanted = wanted.where(recipes.c.version.in_(expected))
    if connection.execute(wanted.values(**change)).rowcount != 1:
        raise Stale(find_recipe(connection, caller_id, identity).version)


def _add_version(
    connection: Connection, identity: str, number: int, recipe: Recipe, extras: Any
) -> None:
    row = {
        "recipe_id": identity,
        "version": number,
        "title": recipe.title,
        "recipe": recipe.model_dump(mode="json", exclude_unset=True),  # as it was written
        "unread": [],
        "extras": extras,
        "created_at": now(),
    }
    connection.execute(insert(recipe_versions).values(**row))


def _joined(caller_id: str, *columns: Any) -> Select[Any]:
    return (
        select(*columns)
        .join_from(recipes, recipe_versions)
        .where(recipes.c.caller_id == caller_id, recipes.c.deleted_at.is_(None))
    )
