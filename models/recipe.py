"""A recipe as written: lines of text or of ingredient, quantity and unit, and the caller's own
ingredients.

Every line is understood when the recipe is made, so a recipe that exists can be weighed. A line of
text that is no ingredient of the dough is set aside and kept. How text is read is `models.reading`;
the weights themselves are `models.formula`.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    Discriminator,
    Field,
    SerializerFunctionWrapHandler,
    StringConstraints,
    Tag,
    ValidationInfo,
    field_validator,
    model_serializer,
    model_validator,
)

from models.errors import UNION_TAG_MARK, refusal
from models.exact import exact
from models.ingredient import Ingredient
from models.measures import GRAMS_PER, Amount, Part, Term, Unit, grams_of
from models.pantry import Pantry, fold, known_pantry
from models.reading import Reading, SetAside, UnreadableLine, set_aside, understand_line
from models.reading.further_foods import may_hold_more
from models.reading.parts import flour_in
from models.reading.whole import (
    Whole,
    understand_whole,
    with_amounts_above,
    without_bullets,
)
from models.usda_foods import usda_food
from models.value import Legible, Name, Quantity, Value

FINEST_KITCHEN_FRACTION = 16
FRACTION_ROUNDING = Fraction(1, 10**9)
"""A third written as a float is this close to a third; no spoon tells them apart."""

MAX_LINES = 200
MAX_LINE_CHARACTERS = 2000

Title = Annotated[Legible, StringConstraints(max_length=300)]


class TextLine(Value):
    """A line as a person writes it: "3 1/2 cups all-purpose flour".

    It never refuses its recipe: what cannot be read is set aside. A line may be pinned, keeping its
    words: to an `ingredient` with `quantity` and `unit`, or, with `aside`, to being none of the
    dough.
    """

    text: Annotated[str, StringConstraints(min_length=1, max_length=MAX_LINE_CHARACTERS)]
    ingredient: Name | None = None
    quantity: Quantity | None = None
    unit: Unit | None = None
    aside: bool | None = None

    @model_serializer(mode="wrap")
    def _what_is_said(self, handler: SerializerFunctionWrapHandler) -> dict[str, object]:
        return {name: value for name, value in handler(self).items() if value is not None}

    @model_validator(mode="after")
    def _pinned_whole(self) -> "TextLine":
        pins = (self.ingredient, self.quantity, self.unit)
        if any(pin is not None for pin in pins) and (None in pins or self.aside):
            raise ValueError("to pin a line give ingredient, quantity and unit, or aside alone")
        return self

    @property
    def is_pinned(self) -> bool:
        """Whether the caller says what the line means."""
        return bool(self.aside) or self.ingredient is not None

    def read(self, pantry: Pantry, text: str | None = None) -> Reading | SetAside:
        """Return what the line means, or `text` in its words' place.

        Raises UnreadableLine where the line is pinned to what is not.
        """
        if self.aside:
            return set_aside("note", "It was set aside by hand.")
        if self.ingredient is not None and self.quantity is not None and self.unit is not None:
            ingredient = self._pinned_food(pantry) or find_ingredient(self.ingredient, pantry)
            amount = measured_amount(ingredient, self.quantity, self.unit)
            return Reading(ingredient=ingredient, amount=amount, uncertain=None)
        return understand_line(text or self.text, pantry)

    def _pinned_food(self, pantry: Pantry) -> Ingredient | None:
        """Return the food beyond the pantry that the line is pinned to, under the name it was read
        by or that the USDA's table knows; None for others."""
        if self.ingredient is None or pantry.find(self.ingredient) is not None:
            return None
        read = understand_line(self.text, pantry)
        foods = [part.ingredient for part in read.amount.parts] if isinstance(read, Reading) else []
        known = usda_food(self.ingredient)
        named = next((food for food in foods if food.name == self.ingredient), None)
        return named or (known.ingredient if known is not None else None)


class MeasuredLine(Value):
    """A line in three members: ingredient, quantity and unit."""

    ingredient: Name
    quantity: Quantity
    unit: Unit

    def read(self, pantry: Pantry, text: str | None = None) -> Reading:
        """Return what the line means; raise UnreadableLine for an unknown or unweighable one."""
        ingredient = find_ingredient(self.ingredient, pantry)
        amount = measured_amount(ingredient, self.quantity, self.unit)
        return Reading(ingredient=ingredient, amount=amount, uncertain=None)


def line_words(line: TextLine | MeasuredLine) -> str:
    """Return a line as a person would write it; read again it means the same."""
    if isinstance(line, TextLine):
        return line.text
    unit = "" if line.unit == "each" else f" {line.unit}"
    return f"{line.quantity:.6g}{unit} {line.ingredient}"


def _variant(line: Any) -> str:
    has_text = "text" in line if isinstance(line, dict) else isinstance(line, TextLine)
    return f"{UNION_TAG_MARK}text" if has_text else f"{UNION_TAG_MARK}measured"


def _understand(line: TextLine | MeasuredLine, info: ValidationInfo) -> TextLine | MeasuredLine:
    custom = info.data.get("custom_ingredients")
    if custom is None:  # they are at fault themselves; judging lines by them would mislead
        return line
    try:
        line.read(known_pantry().with_custom(custom))
    except UnreadableLine as unreadable:
        raise refusal([((_member_at_fault(line, unreadable),), str(unreadable))]) from None
    return line


def _member_at_fault(line: TextLine | MeasuredLine, unreadable: UnreadableLine) -> str:
    return "unit" if isinstance(unreadable, UnweighableLine) else "ingredient"


RecipeLine = Annotated[
    Annotated[TextLine, Tag(f"{UNION_TAG_MARK}text")]
    | Annotated[MeasuredLine, Tag(f"{UNION_TAG_MARK}measured")],
    Discriminator(_variant),
    AfterValidator(_understand),
]


class DoubtfulLine(Value):
    """A line that could not be read: where it stands, counted from 1, and why."""

    line: int
    message: str


class Recipe(Value):
    """A recipe as written, lines of text read or set aside.

    `part` names the heading of the part that is the dough; the part with the most flour unless
    told. Raises at once for every measured line that is not known or cannot be weighed.
    """

    title: Title | None = None
    part: Title | None = None
    custom_ingredients: Annotated[tuple[Ingredient, ...], Field(max_length=50)] = ()
    lines: Annotated[tuple[RecipeLine, ...], Field(min_length=1, max_length=MAX_LINES)]

    @model_serializer(mode="wrap")
    def _part_where_named(self, handler: SerializerFunctionWrapHandler) -> dict[str, object]:
        members: dict[str, object] = handler(self)
        if self.part is None:
            members.pop("part", None)
        return members

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
    def pantry(self) -> Pantry:
        """The pantry with the caller's own ingredients in front."""
        return known_pantry().with_custom(self.custom_ingredients)

    @cached_property
    def whole(self) -> Whole:
        """The recipe understood as a whole: its lines, their parts, what they say it makes."""
        pantry = self.pantry
        texts = [line.text if isinstance(line, TextLine) else "" for line in self.lines]
        fixed = [not isinstance(line, TextLine) or line.is_pinned for line in self.lines]
        texts, spent = with_amounts_above(without_bullets(texts), fixed)
        lines = tuple(
            set_aside("note", "Its amount was read with the line under it.")
            if at in spent
            else line.read(pantry, text)
            for at, (line, text) in enumerate(zip(self.lines, texts, strict=True))
        )
        return understand_whole(texts, lines, self.part, fixed)

    @property
    def understood(self) -> tuple[Reading | SetAside, ...]:
        """What each line means, or why it is set aside, in the recipe's order."""
        return self.whole.lines

    def readings(self) -> Iterator[Reading]:
        """Yield what each line of the dough means, in the recipe's order."""
        return (line for line in self.understood if isinstance(line, Reading))

    @property
    def counted(self) -> tuple[int, ...]:
        """Where the lines of the dough stand."""
        return tuple(at for at, line in enumerate(self.understood) if isinstance(line, Reading))

    @property
    def has_flour(self) -> bool:
        """Whether any flour is weighed: without it there is no ratio to speak of."""
        return flour_in(self.understood) > 0

    @property
    def doubtful(self) -> tuple[DoubtfulLine, ...]:
        """The lines that could not be read and could change an answer."""
        return tuple(
            DoubtfulLine(line=at + 1, message=line.aside.message)
            for at, line in enumerate(self.understood)
            if isinstance(line, SetAside) and line.is_doubtful
        )

    @property
    def unsettled(self) -> tuple[str, ...]:
        """The words of the lines that may hold more than was counted: unread, or with a choice."""
        return tuple(
            line.text[:200]
            for line, meant in zip(self.lines, self.understood, strict=True)
            if isinstance(line, TextLine)
            and (
                may_hold_more(line.text, meant, self.pantry)
                if isinstance(meant, Reading)
                else meant.is_doubtful
            )
        )


class UnweighableLine(UnreadableLine):
    """The ingredient is known, but not what it weighs in that unit."""


def find_ingredient(name: str, pantry: Pantry) -> Ingredient:
    """Return the ingredient called `name`; raise UnreadableLine with the nearest known ones."""
    found = pantry.find(name)
    if found is None:
        near = pantry.nearest(name)
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
