"""A formula: a recipe in grams, line by line, with the sums and ratios that follow from it.

Everything is exact: cups and thirds of cups are fractions until the moment they are shown.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from models.ingredient import Ingredient, Role
from models.measures import EGG_PIECES, Amount
from models.ratios import DEFAULT_POWDER_STRENGTH, Masses, Ratios, add_masses, masses_of, ratios_of
from models.reading import Uncertain
from models.recipe import Recipe


@dataclass(frozen=True, slots=True)
class FormulaLine:
    """One line of a formula: what it is and how much of it."""

    ingredient: Ingredient
    amount: Amount
    uncertain: Uncertain | None = None
    place: int | None = None
    """Where the line stands in its recipe, among lines that are set aside."""

    @property
    def name(self) -> str:
        """The ingredient's own name."""
        return self.ingredient.name

    @property
    def role(self) -> Role:
        """What the ingredient does in the dough."""
        return self.ingredient.role

    @property
    def is_mixed(self) -> bool:
        """Whether it is of several foods, not only pieces of egg: such a line stays as it is."""
        parts = self.amount.parts
        return len(parts) > 1 and any(p.ingredient.unit_name not in EGG_PIECES for p in parts)

    @property
    def grams(self) -> Fraction:
        """Grams as weighed."""
        return self.amount.grams


@dataclass(frozen=True)
class Formula:
    """A dough by weight, lines in the recipe's order."""

    lines: tuple[FormulaLine, ...]
    powder_strength: float = DEFAULT_POWDER_STRENGTH

    @classmethod
    def from_recipe(
        cls, recipe: Recipe, powder_strength: float = DEFAULT_POWDER_STRENGTH
    ) -> "Formula":
        """Weigh every line of `recipe`."""
        return cls(
            tuple(
                FormulaLine(r.ingredient, r.amount, r.uncertain, at)
                for at, r in zip(recipe.counted, recipe.readings(), strict=True)
            ),
            powder_strength,
        )

    @cached_property
    def masses(self) -> Masses:
        """The sums that the ratios are made of."""
        return add_masses(masses_of(line.amount, self.powder_strength) for line in self.lines)

    @property
    def ratios(self) -> Ratios:
        """The ratios; null without flour."""
        return ratios_of(self.masses)

    @property
    def flour_grams(self) -> Fraction:
        """Grams of all flours."""
        return Fraction(self.masses.flour)

    @property
    def total_grams(self) -> Fraction:
        """Grams of the whole dough."""
        return sum((line.grams for line in self.lines), Fraction(0))

    def with_amounts(self, amounts: Iterable[Amount]) -> "Formula":
        """Return the same lines at other amounts, one for each line."""
        lines = (replace(line, amount=a) for line, a in zip(self.lines, amounts, strict=True))
        return Formula(tuple(lines), self.powder_strength)

    def times(self, factor: Fraction) -> "Formula":
        """Return the dough scaled by `factor`, measurable or not."""
        return self.with_amounts(line.amount.times(factor) for line in self.lines)
