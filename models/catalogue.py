"""A catalogue: a shop's recipes as they are kept, each with every version it ever had.

What a recipe is stands in `models.recipe`; kitchens and what they baked in `models.trial`.
"""

from typing import Annotated, Any

from pydantic import JsonValue, StringConstraints

from models.recipe import Recipe
from models.value import Value
from models.written import AsWritten, Label, Moment

Identity = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_-]{1,32}$")]
"""What something stored is called here; the service chooses it."""


WrittenRecipe = Annotated[dict[str, Any], AsWritten(Recipe)]


class NewRecipe(Value):
    """A recipe to store: in a catalogue, or in none.

    `external_id` is what the recipe is called where it came from; a catalogue holds each once.
    """

    recipe: Recipe
    catalogue_id: Identity | None = None
    external_id: Label | None = None


class RecipeRevision(Value):
    """What a stored recipe is to be from now on."""

    recipe: Recipe


class StoredRecipe(Value):
    """A stored recipe at one of its versions, as it was written then.

    `recipe` is null where lines of an import could not be read; `unread` then says which and why.
    `extras` are members of an import that were kept and not understood. `remarks` say what will
    keep questions and runs from answering about it.
    """

    id: Identity
    version: int
    catalogue_id: Identity | None
    external_id: str | None
    recipe: WrittenRecipe | None
    unread: JsonValue
    extras: JsonValue
    remarks: tuple[str, ...] = ()
    created_at: Moment
    changed_at: Moment


class RecipeEntry(Value):
    """A stored recipe in a list: its newest version, without its lines."""

    id: Identity
    version: int
    title: str | None
    catalogue_id: Identity | None
    external_id: str | None
    created_at: Moment
    changed_at: Moment


class RecipeList(Value):
    """Stored recipes, the oldest first; where there are more, a Link header leads to them."""

    recipes: tuple[RecipeEntry, ...]


class RecipeVersion(Value):
    """One version of a stored recipe, without its lines."""

    version: int
    title: str | None
    created_at: Moment


class VersionList(Value):
    """The versions of a recipe, the first one first; a Link header leads to more."""

    versions: tuple[RecipeVersion, ...]


class NewCatalogue(Value):
    """A catalogue to make, or the title that one is to have."""

    title: Label


class Catalogue(Value):
    """A catalogue; its recipes are listed apart. `revision` counts what it has been called."""

    id: Identity
    title: str
    revision: int
    created_at: Moment


class CatalogueList(Value):
    """Catalogues, the oldest first; where there are more, a Link header leads to them."""

    catalogues: tuple[Catalogue, ...]
