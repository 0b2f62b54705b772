"""A weighing: a recipe by weight, with its ratios, allergens and cautions; nothing changed."""

from models.brief import RecipeToWeigh
from models.cautions import Allergens, Caution, allergens_of, cautions_for
from models.formula import Formula, FormulaLine
from models.ingredient import Role
from models.ratios import Ratios
from models.reading import Uncertain
from models.value import Value


class WeighedLine(Value):
    """One line in grams; its baker's percentage is grams to 100 g of flour, null without flour."""

    ingredient: str
    role: Role
    grams: float
    measure: str
    bakers_percent: float | None
    uncertain: Uncertain | None

    @classmethod
    def of(cls, line: FormulaLine, formula: Formula) -> "WeighedLine":
        """Show a line of `formula`."""
        flour = formula.flour_grams
        return cls(
            ingredient=line.name,
            role=line.role,
            grams=float(line.grams),
            measure=line.amount.measure,
            bakers_percent=float(100 * line.grams / flour) if flour else None,
            uncertain=line.uncertain,
        )


class Weighing(Value):
    """A recipe by weight. The ratios are null without flour."""

    lines: tuple[WeighedLine, ...]
    total_grams: float
    ratios: Ratios
    allergens: Allergens
    cautions: tuple[Caution, ...]

    @classmethod
    def of(cls, weighed: RecipeToWeigh) -> "Weighing":
        """Weigh a recipe."""
        formula = weighed.formula
        return cls(
            lines=tuple(WeighedLine.of(line, formula) for line in formula.lines),
            total_grams=float(formula.total_grams),
            ratios=formula.ratios,
            allergens=allergens_of(formula),
            cautions=cautions_for(formula),
        )
