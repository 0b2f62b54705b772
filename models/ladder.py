"""The ladder: ways to make one dough hold on one form, from the least harm to texture upwards.

The order is the trade's: roll thinner, chill, then less leavening, then a little more flour, then
combinations, then another fat. Each rung is a whole recipe with the chance that it cracks.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from models.brief import Brief
from models.chance import CrackChance, Sensitivity
from models.errors import refusal
from models.outcome import OutcomeLine
from models.target import Target
from models.value import EstimatedPercent, Value

RungCode = Literal[
    "as_written",
    "thinner",
    "thinner_chilled",
    "less_leavening",
    "little_flour",
    "several_changes",
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


class Rung(Value):
    """One way to make the dough hold: what a baker does, the recipe, the chance, and the harm.

    `texture_cost` is the cost of the changed lines, and a little for thinner or chilled sheets.
    `reaches` tells whether the chance is within the limit asked for.
    """

    code: RungCode
    words: str
    target: Target
    lines: tuple[OutcomeLine, ...]
    texture_cost: float
    chance: CrackChance
    reaches: bool


class DroppedRung(Value):
    """A rung that another one beats in both harm and chance, or that cannot be stood on."""

    code: RungCode
    why: str


class FrontPoint(Value):
    """The least texture cost at which the chance is at most this, at the thickness as asked."""

    chance_percent: EstimatedPercent
    texture_cost: float
    lines: tuple[OutcomeLine, ...]


class Ladder(Value):
    """The rungs worth standing on, those that are not, and the trade-off that bounds them all.

    `complete` is false where a deadline struck first. The figures are estimates, as
    `limits_of_the_model` says; a trial decides.
    """

    limit_percent: float
    rungs: tuple[Rung, ...]
    dropped: tuple[DroppedRung, ...]
    front: tuple[FrontPoint, ...]
    complete: bool
    sensitivity: Sensitivity
    limits_of_the_model: tuple[str, ...]
