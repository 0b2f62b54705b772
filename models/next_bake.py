"""The next bake of a kitchen: which dough on which sheets to bake, or which recipe to publish.

The advice is worked out by `solver.next_bake`; what it rests on is `models.learning`.
"""

from typing import Literal

from pydantic import model_validator

from models.brief import RecipeToWeigh
from models.cautions import Allergens, Caution
from models.errors import refusal
from models.learning import KitchenEstimate
from models.recipe import Recipe
from models.target import Target
from models.value import Estimate, EstimatedPercent, Value

Preference = Literal["safer", "closer"]
NextStep = Literal["bake", "publish", "not_with_this_dough"]


class NextBakeRequest(RecipeToWeigh):
    """The dough as written and the form it is to hold; `preference` sets a safe bake against one
    closer to the original.

    Unless the target says how thin the sheet may be rolled, it is 2 mm.
    """

    target: Target
    preference: Preference = "safer"

    @model_validator(mode="after")
    def _has_flour(self) -> "NextBakeRequest":
        if not self.recipe.has_flour:
            raise refusal([(("recipe", "lines"), "has no flour; a sheet is rolled from a dough")])
        return self


class TraySheet(Value):
    """One thickness on the tray: how many pieces of it, and their chance of a crack."""

    thickness_mm: float
    thickness: str
    pieces: int
    chance_percent: EstimatedPercent


class OtherWay(Value):
    """Another way that would lose little more."""

    words: str
    thickness: str
    texture_cost: float
    holds_percent: EstimatedPercent


class NextBake(Value):
    """What to do next.

    `recipe` and `sheets` are what goes on the tray (or, to `publish`, the recipe itself with its
    sheet); send `variant` to /v1/bake-sheets for a page to print. `holds_percent` is how likely its
    chance of a crack that shows is under 15 % in this kitchen, with 3 points to spare for what the
    belief does not know, `worth` what another tray would take
    off the expected loss beyond what a bake costs. `would_have_to_give` says what stands in the way
    where nothing will do.
    """

    step: NextStep
    words: str
    reason: str
    recipe: Recipe
    changes: tuple[str, ...]
    chilled: bool
    sheets: tuple[TraySheet, ...]
    flat_round: str | None
    texture_cost: float
    holds_percent: EstimatedPercent
    worth: Estimate
    bake_costs: float
    others: tuple[OtherWay, ...]
    would_have_to_give: tuple[str, ...]
    kitchen: KitchenEstimate
    cautions: tuple[Caution, ...]
    allergens: Allergens
    limits_of_the_model: tuple[str, ...]
