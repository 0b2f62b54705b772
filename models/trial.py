"""A trial: one bake of one dough on one form, and what became of it; and the kitchen that baked it.

A kitchen is an oven and its baker: what is learnt from its trials holds there and nowhere else. The
chance that a trial cracks is `models.chance`.
"""

from typing import Annotated, Any

from pydantic import Field, StringConstraints, field_validator

from models.brief import RecipeToWeigh
from models.catalogue import Identity
from models.dimension import Between, LengthMm
from models.errors import refusal
from models.form import Across
from models.recipe import Recipe
from models.target import Target
from models.value import Value
from models.written import AsWritten, Label, Moment, Words

CrackGrade = Annotated[int, Field(ge=0, le=4)]
"""0 none, 1 fine cracks, 2 open cracks, 3 broken but standing, 4 fell apart: a scale of our own."""

Note = Annotated[Words, StringConstraints(max_length=2000)]


class FlatRoundGrowth(Value):
    """How far a flat round of the same sheet grew across while it baked beside the piece.

    It tells how much the dough flows apart from what a form does to it.
    """

    diameter_mm: Across
    growth_mm: Annotated[LengthMm, Between(-100, 500, "mm")]


class TrialOutcome(Value):
    """What became of a bake."""

    crack_grade: CrackGrade
    slipped: bool = False
    flat_round: FlatRoundGrowth | None = None


class Trial(RecipeToWeigh):
    """One bake: the dough as a recipe, the form and the thickness, and what became of it."""

    target: Target
    outcome: TrialOutcome
    baked_at: Moment | None = None
    note: Note | None = None

    @field_validator("recipe")
    @classmethod
    def _has_flour(cls, recipe: Recipe) -> Recipe:
        if not recipe.has_flour:
            raise refusal([(("lines",), "has no flour; a dough is judged by shares of its flour")])
        return recipe


class StoredTrial(Value):
    """A trial as it was told, and the kitchen it was baked in."""

    id: Identity
    kitchen_id: Identity
    trial: Annotated[dict[str, Any], AsWritten(Trial)]
    created_at: Moment


class TrialList(Value):
    """Trials in the order in which they were told; a Link header leads to more."""

    trials: tuple[StoredTrial, ...]


class NewKitchen(Value):
    """A kitchen to learn from."""

    name: Annotated[Label, StringConstraints(max_length=200)]


class Kitchen(Value):
    """A kitchen: an oven and its baker."""

    id: Identity
    name: str
    created_at: Moment


class KitchenList(Value):
    """Kitchens, the oldest first; where there are more, a Link header leads to them."""

    kitchens: tuple[Kitchen, ...]
