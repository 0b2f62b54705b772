"""A run's changes taken over: which recipes are to have new versions, and what became of each.

What a run is, and what it proposes, is `models.run`.
"""

from typing import Annotated, Literal, get_args

from pydantic import Field

from models.catalogue import Identity
from models.value import Value

MOST_LISTED = 1000
"""A catalogue may have a million recipes; the counts are of all of them, whatever is listed."""

Fate = Literal["applied", "already_applied", "changed_since", "deleted"]
FATES: tuple[Fate, ...] = get_args(Fate)


class ApplyRun(Value):
    """Which recipes of a run are to be as it proposes: those named, or all that it moved."""

    recipes: Annotated[tuple[Identity, ...], Field(min_length=1, max_length=10_000)] | None = None


class AppliedRecipe(Value):
    """One recipe that the run moved, and what became of the change.

    It was `applied` as a new version; or it stood there already; or the recipe was changed since
    the run began, or deleted, and is left as it is. `version` is null for one that is deleted.
    """

    recipe_id: Identity
    version: int | None
    fate: Fate


class AppliedRun(Value):
    """What became of a run's changes: how many of each fate, and the first thousand one by one.

    Recipes that were left as they are come first. `unmoved` counts those chosen, or all of the run,
    to which it proposes no change.
    """

    counts: dict[Fate, int]
    unmoved: int
    recipes: tuple[AppliedRecipe, ...]
