"""A brief: one recipe with what must hold and what may change; everything a reformulation needs.

Cross-checks between members (a kept ingredient that is not in the recipe, a new one that already
is) are made here, so a brief that exists can be solved. The limits themselves are `models.limits`.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property
from typing import Annotated, Literal, Self

from pydantic import Field, PrivateAttr, ValidationInfo, field_validator, model_validator

from models.batch import Batch
from models.errors import refusal
from models.exact import exact
from models.form_window import CRACK_CHANCE_PERCENT, form_window
from models.formula import Formula
from models.ingredient import Ingredient, Role
from models.learning import InKitchen
from models.limits import (
    MOVABLE_ROLES,
    CrackLimit,
    Limit,
    Limits,
    change_limits,
    positions_of,
    ratio_limits,
)
from models.measures import MeasureSystem
from models.ratios import DEFAULT_POWDER_STRENGTH
from models.reading import SetAside, UnreadableLine
from models.recipe import Recipe, find_ingredient
from models.round_test import RoundTest
from models.target import Target
from models.value import Value
from models.window import Window

PowderStrength = Annotated[float, Field(ge=0.15, le=0.40)]
Weight = Annotated[float, Field(ge=0, le=1000)]

DEFAULT_WEIGHTS: dict[Role, float] = {
    "leavener": 0.4,
    "liquid": 0.6,
    "syrup": 0.8,
    "flour": 1.0,
    "fat": 1.0,
    "sugar": 1.2,
    "egg": 1.5,
}
"""What a change of the whole amount costs, by role: the least harm to texture is the cheapest."""


LEAST_GRAMS = 1
MOST_KILOGRAMS = 1_000
"""Of one dough; the largest mixers of the trade hold less (from memory)."""


class RecipeToWeigh(Value):
    """A recipe with the strength of its baking powder (grams of soda to the gram)."""

    recipe: Recipe
    powder_strength: PowderStrength = DEFAULT_POWDER_STRENGTH
    reading: Literal["lenient", "strict"] = "lenient"

    @model_validator(mode="after")
    def _reads_strictly(self) -> "RecipeToWeigh":
        faults = list(_doubts(self.recipe)) if self.reading == "strict" else []
        if faults:
            raise refusal(faults)
        return self

    @cached_property
    def formula(self) -> Formula:
        """The recipe by weight."""
        return Formula.from_recipe(self.recipe, self.powder_strength)


class Bounded(RecipeToWeigh, InKitchen):
    """A recipe with flour in it, and the bounds that its dough must meet."""

    target: Target | None = None
    round_test: RoundTest | None = None
    window: Window | None = None
    weights: Annotated[dict[Role, Weight], Field(max_length=12)] = Field(default_factory=dict)
    limits: Limits = Limits()

    @field_validator("recipe")
    @classmethod
    def _has_flour(cls, recipe: Recipe) -> Recipe:
        if not recipe.has_flour:
            raise refusal([(("lines",), "has no flour, and every ratio is a share of the flour")])
        return recipe

    @field_validator("limits")
    @classmethod
    def _names_lines(cls, limits: Limits, info: ValidationInfo) -> Limits:
        recipe = info.data.get("recipe")
        if recipe is not None:
            faults = list(_limit_faults(limits, recipe, info.data.get("weights") or {}))
            if faults:
                raise refusal(faults)
        return limits

    @model_validator(mode="after")
    def _cracks_on_a_form(self) -> "Bounded":
        if self.target is None and self.window and self.window.crack_chance_percent:
            message = "needs a target: a dough cracks on some form, at some thickness"
            raise refusal([(("window", "crack_chance_percent"), message)])
        return self

    @cached_property
    def applied_window(self) -> Window:
        """The caller's window; on a form, what it leaves open is filled by the form's."""
        stated = self.window or Window()
        if self.target is None:
            return stated
        implied = form_window(
            self.formula,
            limits_chance=self.implies_chance_limit,
            handled=self.taught.handled if self.taught else (),
        )
        return implied.model_copy(update={name: getattr(stated, name) for name in self.stated})

    @property
    def implies_chance_limit(self) -> bool:
        """Whether the form alone limits the chance of a crack: not where a ratio has a window."""
        return not any(self.window.ranges()) if self.window else True

    @property
    def chance_limit_percent(self) -> float:
        """The chance that a report of the form speaks of, whether or not it is a limit."""
        stated = self.window.crack_chance_percent if self.window else None
        return stated.max if stated else CRACK_CHANCE_PERCENT

    @property
    def stated(self) -> frozenset[str]:
        """The names of the bounds in the window that are the caller's own."""
        window = self.window or Window()
        return frozenset(name for name in Window.model_fields if getattr(window, name) is not None)

    def named_limits(self) -> tuple[Limit, ...]:
        """Return every limit of the brief under its name: window, ratios held, then changes."""
        return (
            *ratio_limits(self.applied_window),
            *self._crack_limit(),
            *ratio_limits(self.limits, held=True),
            *change_limits(self.limits, self.formula, self.recipe.pantry),
        )

    def _crack_limit(self) -> Iterator[CrackLimit]:
        allowed = self.applied_window.crack_chance_percent
        if allowed is not None and self.target is not None:
            yield CrackLimit(exact(allowed.max), self.target, self.powder_strength)


class Brief(Bounded):
    """One recipe to reformulate: where its ratios must land and what may move."""

    measures: MeasureSystem = "as_written"
    batch: Batch | None = None
    _sized: Fraction | None = PrivateAttr(default=None)

    @property
    def batch_factor(self) -> Fraction:
        """What every line of the recipe is multiplied by.

        For pieces, until the changed dough is known, what the dough as written would need.
        """
        if self._sized is not None:
            return self._sized
        return self.batch.factor_for(self.formula, self.target) if self.batch else Fraction(1)

    def sized(self, factor: Fraction) -> Self:
        """Return the same brief with every line multiplied by `factor`."""
        asked = self.model_copy()
        asked._sized = factor
        return asked

    @model_validator(mode="after")
    def _cuts_from_a_form(self) -> "Brief":
        if self.batch and self.batch.pieces is not None and self.target is None:
            message = "needs a target: how much dough a piece takes depends on its form"
            raise refusal([(("batch", "pieces"), message)])
        return self

    @model_validator(mode="after")
    def _fits_a_bakery(self) -> "Brief":
        kilograms = float(self.formula.total_grams * self.batch_factor) / 1000
        if kilograms > MOST_KILOGRAMS:
            message = (
                f"makes {kilograms:,.0f} kg of dough; at most {MOST_KILOGRAMS:,} kg are weighed "
                "out at once. Ask for a smaller batch and multiply it"
            )
            raise refusal([(("batch",) if self.batch else ("recipe", "lines"), message)])
        if self.batch and 1000 * kilograms < LEAST_GRAMS:
            message = f"makes less than {LEAST_GRAMS} g of dough, which nobody can measure out"
            raise refusal([(("batch",), message)])
        return self

    @model_validator(mode="after")
    def _aims_somewhere(self) -> "Brief":
        if self.target is None and self.window is None:
            raise ValueError("give a window (the ratios to reach), a target (the form), or both")
        return self

    def weight_of(self, role: Role) -> Fraction | None:
        """Return what moving a line of `role` costs, or None where such lines do not move."""
        weight = self.weights.get(role, DEFAULT_WEIGHTS.get(role))
        return None if weight is None else exact(weight)

    @property
    def added(self) -> tuple[Ingredient, ...]:
        """The ingredients that may enter from zero."""
        pantry = self.recipe.pantry
        return tuple(find_ingredient(name, pantry) for name in self.limits.may_add)


def _limit_faults(
    limits: Limits, recipe: Recipe, weights: dict[Role, float]
) -> Iterator[tuple[tuple[int | str, ...], str]]:
    formula, pantry = Formula.from_recipe(recipe), recipe.pantry
    present = ", ".join(dict.fromkeys(line.name for line in formula.lines))
    named: list[tuple[tuple[int | str, ...], str]] = [
        (("keep", i), name) for i, name in enumerate(limits.keep)
    ]
    named += [(("max_change_percent", name), name) for name in limits.max_change_percent]
    for where, name in named:
        if not positions_of(name, formula, pantry):
            yield where, f'"{name}" is no ingredient of this recipe, which has: {present}'
    seen: set[str] = set()
    for i, name in enumerate(limits.may_add):
        try:
            ingredient = find_ingredient(name, pantry)
        except UnreadableLine as unknown:
            yield ("may_add", i), str(unknown)
            continue
        if ingredient.name in seen or positions_of(name, formula, pantry):
            yield ("may_add", i), f'"{name}" is already there; name only what is not in the recipe'
        elif ingredient.role not in {*MOVABLE_ROLES, *weights}:
            role = ingredient.role
            yield (
                ("may_add", i),
                f'"{name}" is of role {role}, which moves only where weights name it',
            )
        seen.add(ingredient.name)


def _doubts(recipe: Recipe) -> Iterator[tuple[tuple[int | str, ...], str]]:
    """Yield what strict reading refuses: lines that were read with doubt, or not at all."""
    for at, line in enumerate(recipe.understood):
        if isinstance(line, SetAside):
            message = line.aside.message if line.is_doubtful else None
        else:
            message = line.uncertain.message if line.uncertain else None
        if message is not None:
            yield ("recipe", "lines", at, "text"), message
