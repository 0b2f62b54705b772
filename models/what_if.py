"""What if: edits to a recipe, and the judgement on the dough that they make. Nothing is optimised.

How an edit changes a line is here; the judgement itself is made by `solver.what_if`.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator, model_validator

from models.brief import Bounded
from models.cautions import Allergens, Caution
from models.errors import UNION_TAG_MARK, refusal
from models.exact import exact
from models.formula import Formula, FormulaLine
from models.limits import NamedLimit, positions_of
from models.measures import Amount, Part, Term, Unit
from models.outcome import BeforeAndAfter, FormReport
from models.pantry import Pantry
from models.reading import UnreadableLine
from models.recipe import Recipe, UnweighableLine, find_ingredient, measured_amount
from models.value import Name, Quantity, Value

ChangePercent = Annotated[float, Field(ge=-100, le=1000)]


class ChangeByPercent(Value):
    """Take so many percent more of an ingredient, or less."""

    ingredient: Name
    change_percent: ChangePercent

    def apply(self, line: FormulaLine, pantry: Pantry) -> FormulaLine:
        """Return the edited line."""
        scaled = line.amount.times(1 + exact(self.change_percent) / 100)
        grams = Term(scaled.grams, "g")
        return FormulaLine(line.ingredient, Amount(scaled.parts, (grams,)))


class SetGrams(Value):
    """Take so many grams of an ingredient."""

    ingredient: Name
    grams: Quantity

    def apply(self, line: FormulaLine, pantry: Pantry) -> FormulaLine:
        """Return the edited line."""
        return FormulaLine(line.ingredient, measured_amount(line.ingredient, self.grams, "g"))


class SetMeasure(Value):
    """Take so many measures of an ingredient."""

    ingredient: Name
    quantity: Quantity
    unit: Unit

    def apply(self, line: FormulaLine, pantry: Pantry) -> FormulaLine:
        """Return the edited line; raise UnweighableLine."""
        amount = measured_amount(line.ingredient, self.quantity, self.unit)
        return FormulaLine(line.ingredient, amount)


class Replace(Value):
    """Take another ingredient instead: the same weight of it, or as much as brings equal fat."""

    ingredient: Name
    replace_with: Name
    basis: Literal["weight", "fat"] = "weight"

    def apply(self, line: FormulaLine, pantry: Pantry) -> FormulaLine:
        """Return the edited line; raise UnreadableLine for an unknown or a fatless ingredient."""
        new = find_ingredient(self.replace_with, pantry)
        grams = line.grams
        if self.basis == "fat":
            for ingredient in (line.ingredient, new):
                if not ingredient.fat_percent:
                    raise UnreadableLine(
                        f"{ingredient.name} has no fat to be equal in; replace it by weight",
                        rest=ingredient.name,
                    )
            grams = _fat(line.amount) / new.fat_share
        return FormulaLine(new, Amount((Part(new, grams),), (Term(grams, "g"),)))


class Add(Value):
    """Take an ingredient that is not in the recipe yet: so many grams, or so many measures."""

    add: Name
    grams: Quantity | None = None
    quantity: Quantity | None = None
    unit: Unit | None = None

    @model_validator(mode="after")
    def _in_one_way(self) -> "Add":
        measured = (self.quantity is not None, self.unit is not None)
        if measured not in {(True, True), (False, False)} or (self.grams is None) != all(measured):
            raise ValueError("say how much to add: grams, or quantity with unit")
        return self

    def line(self, pantry: Pantry) -> FormulaLine:
        """Return the new line; raise UnreadableLine for an unknown ingredient or measure."""
        ingredient = find_ingredient(self.add, pantry)
        if self.quantity is not None and self.unit is not None:
            return FormulaLine(ingredient, measured_amount(ingredient, self.quantity, self.unit))
        return FormulaLine(ingredient, measured_amount(ingredient, self.grams or 0, "g"))


_MEMBERS = {
    "add": "add",
    "change_percent": "percent",
    "grams": "grams",
    "quantity": "measure",
    "unit": "measure",
    "replace_with": "replace",
}


def _variant(edit: Any) -> str | None:
    for member, variant in _MEMBERS.items():
        if member in edit if isinstance(edit, dict) else hasattr(edit, member):
            return f"{UNION_TAG_MARK}{variant}"
    return None


LineEdit = ChangeByPercent | SetGrams | SetMeasure | Replace
"""An edit of lines that are in the recipe."""

Edit = Annotated[
    Annotated[ChangeByPercent, Tag(f"{UNION_TAG_MARK}percent")]
    | Annotated[SetGrams, Tag(f"{UNION_TAG_MARK}grams")]
    | Annotated[SetMeasure, Tag(f"{UNION_TAG_MARK}measure")]
    | Annotated[Replace, Tag(f"{UNION_TAG_MARK}replace")]
    | Annotated[Add, Tag(f"{UNION_TAG_MARK}add")],
    Discriminator(
        _variant,
        custom_error_type="edit",
        custom_error_message="give one of change_percent, grams, quantity with unit, "
        "replace_with, add",
    ),
]


class WhatIf(Bounded):
    """A recipe, edits to it, and the bounds that the edited dough is held against."""

    edits: Annotated[tuple[Edit, ...], Field(max_length=200)]

    @field_validator("edits")
    @classmethod
    def _edit_lines(cls, edits: tuple[Edit, ...], info: ValidationInfo) -> tuple[Edit, ...]:
        recipe = info.data.get("recipe")
        if recipe is not None:
            faults = list(_edit_faults(edits, recipe))
            if faults:
                raise refusal(faults)
        return edits

    def edited(self) -> tuple[tuple[int, FormulaLine], ...]:
        """Return the edited lines with where they stand, in the recipe's order."""
        formula, pantry = self.formula, self.recipe.pantry
        return tuple(
            sorted(
                (position, edit.apply(formula.lines[position], pantry))
                for edit in self.edits
                if not isinstance(edit, Add)
                for position in positions_of(edit.ingredient, formula, pantry)
            )
        )

    def added(self) -> tuple[tuple[Add, FormulaLine], ...]:
        """Return the edits that add an ingredient, each with its line, in their order."""
        pantry = self.recipe.pantry
        return tuple((edit, edit.line(pantry)) for edit in self.edits if isinstance(edit, Add))


class BoundVerdict(NamedLimit):
    """One bound and whether the edited dough keeps it; `measured` is null where undefined."""

    value: float
    measured: float | None
    holds: bool


class Judgement(Value):
    """The edited dough: its ratios, the bounds it keeps, and the recipe to send on.

    `recipe` is null where the edits left nothing of it. `form` is what the form of the target asks
    of the dough before and after, null without a target or without flour.
    """

    ratios: BeforeAndAfter
    bounds: tuple[BoundVerdict, ...]
    recipe: Recipe | None
    notes: tuple[str, ...]
    form: FormReport | None
    cautions: tuple[Caution, ...]
    allergens: Allergens


def _fat(amount: Amount) -> Fraction:
    return sum((part.grams * part.ingredient.fat_share for part in amount.parts), Fraction(0))


def _edit_faults(
    edits: tuple[Edit, ...], recipe: Recipe
) -> Iterator[tuple[tuple[int | str, ...], str]]:
    formula, pantry = Formula.from_recipe(recipe), recipe.pantry
    present = ", ".join(dict.fromkeys(line.name for line in formula.lines))
    seen: set[int] = set()
    added: set[str] = set()
    for i, edit in enumerate(edits):
        if isinstance(edit, Add):
            yield from _add_faults(i, edit, formula, pantry, added)
            continue
        positions = positions_of(edit.ingredient, formula, pantry)
        if not positions:
            yield (
                (i, "ingredient"),
                f'"{edit.ingredient}" is no ingredient of this recipe, which has: {present}; '
                "to bring a new one in, give add instead of ingredient",
            )
        elif seen & set(positions):
            yield (i, "ingredient"), f'"{edit.ingredient}" is edited twice; say it once'
        elif len(positions) > 1 and isinstance(edit, SetGrams | SetMeasure):
            yield (
                (i, "ingredient"),
                f'"{edit.ingredient}" stands on {len(positions)} lines, so an amount could go to '
                "either; use change_percent",
            )
        else:
            yield from _line_faults(i, edit, formula.lines[positions[0]], pantry)
        seen.update(positions)


def _add_faults(
    i: int, edit: Add, formula: Formula, pantry: Pantry, added: set[str]
) -> Iterator[tuple[tuple[int | str, ...], str]]:
    """Yield what is wrong with an ingredient to add; note its name in `added`."""
    try:
        name = edit.line(pantry).name
    except UnweighableLine as refused:
        yield (i, "unit"), str(refused)
        return
    except UnreadableLine as refused:
        yield (i, "add"), str(refused)
        return
    if positions_of(name, formula, pantry):
        yield (i, "add"), f"{name} is in the recipe already; change its amount instead"
    elif name in added:
        yield (i, "add"), f"{name} is added twice; say it once"
    added.add(name)


def _line_faults(
    i: int, edit: LineEdit, line: FormulaLine, pantry: Pantry
) -> Iterator[tuple[tuple[int | str, ...], str]]:
    try:
        edit.apply(line, pantry)
    except UnreadableLine as refused:
        member = "replace_with" if isinstance(edit, Replace) else "unit"
        yield (i, member), str(refused)
