"""The ladder: ways to make one dough hold on one form, from the least harm to texture upwards.

The order is the trade's: roll thinner, chill, then less leavening, then a little more flour, then
combinations, then another fat. Each rung is a whole recipe with the chance that it cracks; where no
chance is known, each step is a whole recipe all the same.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from models.brief import Brief
from models.chance import CrackChance, Sensitivity, Spread
from models.errors import refusal
from models.learning import KitchenEstimate
from models.outcome import Cost, OutcomeLine, RolledSheet
from models.pieces import BatchOfPieces
from models.value import EstimatedPercent, Value

RungCode = Literal[
    "as_written",
    "thinner",
    "chilled",
    "thinner_chilled",
    "less_leavening",
    "little_flour",
    "several_changes",
    "thinner_less_leavening",
    "thinner_several_changes",
    "fat_swap",
]


class LadderBrief(Brief):
    """A brief with a target, and how many points of the trade-off to work out."""

    points: Annotated[int, Field(ge=8, le=20)] = 12

    @property
    def implies_chance_limit(self) -> bool:
        """A ladder always leads up to a chance."""
        return True

    @model_validator(mode="after")
    def _stands_on_a_form(self) -> "LadderBrief":
        if self.target is None:
            raise refusal([(("target",), "is missing; a ladder leads up to one form")])
        return self


class Step(Value):
    """One way to change a dough: what a baker does, the recipe, the sheet and the harm.

    `target` is the sheet as this step rolls it. `cost` counts the changed lines and the sheet;
    `texture_cost` is its total. `texture` says what whoever eats it notices. A batch of pieces is
    as large as this step's own dough and sheet need; `pieces` says what it gives.
    """

    code: RungCode
    words: str
    target: RolledSheet
    lines: tuple[OutcomeLine, ...]
    cost: Cost
    texture_cost: float
    texture: str
    pieces: BatchOfPieces | None


class Rung(Step):
    """A step with the chance that its pieces crack.

    `reaches` tells whether the chance is within the limit asked for; `recommended` is the rung of
    least cost that does, of equals the one that the trade tries first.
    """

    chance: CrackChance
    chance_percent: Spread
    chance_words: str
    growth_mm: Spread
    reaches: bool
    recommended: bool


class DroppedRung(Value):
    """A rung that another one beats in both harm and chance, or that cannot be stood on."""

    code: RungCode
    why: str


class FrontPoint(Value):
    """The least cost in texture at which the chance is at most this, over all sheets and doughs."""

    chance_percent: EstimatedPercent
    texture_cost: float
    target: RolledSheet
    lines: tuple[OutcomeLine, ...]


class Ladder(Value):
    """The rungs worth standing on, those that are not, and the trade-off that bounds them all.

    `complete` is false where a deadline struck first. The figures are estimates, as
    `limits_of_the_model` says; a trial decides. Where the belief ends there are no rungs:
    `outside_experience` says what is unusual, and `steps` what the trade does all the same.
    """

    limit_percent: float
    event: str
    rungs: tuple[Rung, ...]
    dropped: tuple[DroppedRung, ...]
    front: tuple[FrontPoint, ...]
    steps: tuple[Step, ...]
    complete: bool
    sensitivity: Sensitivity | None
    kitchen: KitchenEstimate | None
    outside_experience: tuple[str, ...]
    limits_of_the_model: tuple[str, ...]
