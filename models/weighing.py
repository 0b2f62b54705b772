"""A weighing: a recipe by weight, with its ratios, allergens and cautions; nothing changed."""

from models.brief import RecipeToWeigh
from models.cautions import Allergens, Caution, allergens_of, cautions_for
from models.formula import Formula, FormulaLine
from models.ingredient import Role
from models.ratios import Ratios
from models.reading import Aside, SetAside, Uncertain
from models.recipe import DoubtfulLine
from models.value import Value


class WeighedLine(Value):
    """One line in grams; its baker's percentage is grams to 100 g of flour, null without flour.

    Of a line that is set aside everything is null but `aside`, which says why.
    """

    ingredient: str | None
    role: Role | None
    grams: float | None
    measure: str | None
    bakers_percent: float | None
    uncertain: Uncertain | None
    aside: Aside | None = None

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

    @classmethod
    def set_aside(cls, line: SetAside) -> "WeighedLine":
        """Show a line that is none of the dough."""
        return cls(
            ingredient=None,
            role=None,
            grams=None,
            measure=None,
            bakers_percent=None,
            uncertain=None,
            aside=line.aside,
        )


class Weighing(Value):
    """A recipe by weight, its lines in their order. The ratios are null without flour.

    `doubtful` are the lines that could not be read and could change the figures.
    """

    lines: tuple[WeighedLine, ...]
    total_grams: float
    ratios: Ratios
    allergens: Allergens
    cautions: tuple[Caution, ...]
    doubtful: tuple[DoubtfulLine, ...] = ()

    @classmethod
    def of(cls, weighed: RecipeToWeigh) -> "Weighing":
        """Weigh a recipe."""
        formula, counted = weighed.formula, iter(weighed.formula.lines)
        return cls(
            lines=tuple(
                WeighedLine.set_aside(line)
                if isinstance(line, SetAside)
                else WeighedLine.of(next(counted), formula)
                for line in weighed.recipe.understood
            ),
            total_grams=float(formula.total_grams),
            ratios=formula.ratios,
            allergens=allergens_of(formula, weighed.recipe.unsettled),
            cautions=cautions_for(formula),
            doubtful=weighed.recipe.doubtful,
        )
