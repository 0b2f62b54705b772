"""A recipe as written: lines of text or of ingredient, quantity and unit, and the caller's own
ingredients.

Every line is understood when the recipe is made, so a recipe that exists can be weighed. How text
is read is `models.reading`; the weights themselves are `models.formula`.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    Discriminator,
    Field,
    StringConstraints,
    Tag,
    ValidationInfo,
    field_validator,
)

from models.errors import UNION_TAG_MARK, refusal
from models.exact import exact
from models.ingredient import Ingredient
from models.measures import GRAMS_PER, Amount, Part, Term, Unit, grams_of
from models.pantry import Pantry, fold, pantry
from models.reading import Reading, UnreadableLine, read_line
from models.value import Name, Quantity, Value

FINEST_KITCHEN_FRACTION = 16
FRACTION_ROUNDING = Fraction(1, 10**9)
"""A third written as a float is this close to a third; no spoon tells them apart."""

MAX_LINES = 200
MAX_LINE_CHARACTERS = 2000

Title = Annotated[str, StringConstraints(max_length=300)]


class TextLine(Value):
    """A line as a person writes it: "3 1/2 cups all-purpose flour"."""

    text: Annotated[str, StringConstraints(min_length=1, max_length=MAX_LINE_CHARACTERS)]

    def read(self, shelf: Pantry) -> Reading:
        """Return what the line means; raise UnreadableLine where that is not clear."""
        return read_line(self.text, shelf)


class MeasuredLine(Value):
    """A line in three members: ingredient, quantity and unit."""

    ingredient: Name
    quantity: Quantity
    unit: Unit

    def read(self, shelf: Pantry) -> Reading:
        """Return what the line means; raise UnreadableLine for an unknown or unweighable one."""
        ingredient = find_ingredient(self.ingredient, shelf)
        amount = measured_amount(ingredient, self.quantity, self.unit)
        return Reading(ingredient=ingredient, amount=amount, uncertain=None)


def _variant(line: Any) -> str:
    has_text = "text" in line if isinstance(line, dict) else isinstance(line, TextLine)
    return f"{UNION_TAG_MARK}text" if has_text else f"{UNION_TAG_MARK}measured"


def _understand(line: TextLine | MeasuredLine, info: ValidationInfo) -> TextLine | MeasuredLine:
    custom = info.data.get("custom_ingredients")
    if custom is None:  # they are at fault themselves; judging lines by them would mislead
        return line
    try:
        line.read(pantry().with_custom(custom))
    except UnreadableLine as unreadable:
        raise refusal([((_member_at_fault(line, unreadable),), str(unreadable))]) from None
    return line


def _member_at_fault(line: TextLine | MeasuredLine, unreadable: UnreadableLine) -> str:
    if isinstance(line, TextLine):
        return "text"
    return "unit" if isinstance(unreadable, UnweighableLine) else "ingredient"


RecipeLine = Annotated[
    Annotated[TextLine, Tag(f"{UNION_TAG_MARK}text")]
    | Annotated[MeasuredLine, Tag(f"{UNION_TAG_MARK}measured")],
    Discriminator(_variant),
    AfterValidator(_understand),
]


class Recipe(Value):
    """A recipe as written. Raises at once, for every line that cannot be read or weighed."""

    title: Title | None = None
    custom_ingredients: Annotated[tuple[Ingredient, ...], Field(max_length=50)] = ()
    lines: Annotated[tuple[RecipeLine, ...], Field(min_length=1, max_length=MAX_LINES)]

    @field_validator("custom_ingredients")
    @classmethod
    def _named_once(cls, custom: tuple[Ingredient, ...]) -> tuple[Ingredient, ...]:
        names = [fold(ingredient.name) for ingredient in custom]
        twice = [i for i, name in enumerate(names) if not name or name in names[:i]]
        if twice:
            raise refusal(
                ((i, "name"), "is empty or named twice; give each ingredient a name of its own")
                for i in twice
            )
        return custom

    @property
    def shelf(self) -> Pantry:
        """The pantry with the caller's own ingredients in front."""
        return pantry().with_custom(self.custom_ingredients)

    def readings(self) -> Iterator[Reading]:
        """Yield what each line means, in the recipe's order."""
        shelf = self.shelf
        return (line.read(shelf) for line in self.lines)


class UnweighableLine(UnreadableLine):
    """The ingredient is known, but not what it weighs in that unit."""


def find_ingredient(name: str, shelf: Pantry) -> Ingredient:
    """Return the ingredient called `name`; raise UnreadableLine with the nearest known ones."""
    found = shelf.find(name)
    if found is None:
        near = shelf.nearest(name)
        hint = f"did you mean {' or '.join(near)}? Otherwise " if near else ""
        raise UnreadableLine(
            f'"{name}" is not a known ingredient; {hint}describe it under custom_ingredients',
            rest=name,
            suggestions=near,
        )
    return found


def _as_meant(quantity: float) -> Fraction:
    """Return the kitchen fraction that `quantity` stands for: no JSON number is a third."""
    number = exact(quantity)
    fraction = number.limit_denominator(FINEST_KITCHEN_FRACTION)
    return fraction if abs(fraction - number) < FRACTION_ROUNDING else number


def measured_amount(ingredient: Ingredient, quantity: float, unit: Unit) -> Amount:
    """Return `quantity` `unit` of `ingredient`; raise UnweighableLine without a weight for it."""
    number = _as_meant(quantity) if unit not in GRAMS_PER else exact(quantity)
    grams = grams_of(number, unit, ingredient)
    if grams is None:
        measure = "one piece" if unit == "each" else "a cup"
        raise UnweighableLine(
            f"no weight is known for {measure} of {ingredient.name}; give grams", rest=unit
        )
    word = (ingredient.unit_name or "piece") if unit == "each" else unit
    return Amount((Part(ingredient, grams),), (Term(number, word),))
