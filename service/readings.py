"""A recipe from plain text, many lines at once: what was read, and what could not be.

How one line is read is `models.reading`. Here nothing is refused for a line that is no ingredient:
it is reported with its number and left out of the recipe.
"""

from collections.abc import Iterator
from typing import Annotated, NamedTuple

from pydantic import Field, StringConstraints, ValidationError, field_validator

from models.errors import BadInput
from models.ingredient import Ingredient, Role
from models.pantry import pantry
from models.reading import Reading, Uncertain, UnreadableLine, read_line
from models.recipe import MAX_LINE_CHARACTERS, MAX_LINES, Recipe, TextLine, Title
from models.value import Value


class RecipeText(Value):
    """A recipe as plain text, one ingredient a line; blank lines say nothing."""

    title: Title | None = None
    custom_ingredients: Annotated[tuple[Ingredient, ...], Field(max_length=50)] = ()
    text: Annotated[
        str, StringConstraints(min_length=1, max_length=MAX_LINES * MAX_LINE_CHARACTERS)
    ]

    @field_validator("text")
    @classmethod
    def _not_too_long(cls, text: str) -> str:
        count = sum(1 for _ in lines_of(text))
        if count > MAX_LINES:
            raise ValueError(f"has {count} lines that are not blank; a recipe has {MAX_LINES}")
        return text


class ReadLine(Value):
    """What one line means."""

    text: str
    ingredient: str
    role: Role
    grams: float
    measure: str
    uncertain: Uncertain | None

    @classmethod
    def of(cls, text: str, reading: Reading) -> "ReadLine":
        """Show a reading beside the text it was read from."""
        return cls(
            text=text,
            ingredient=reading.ingredient.name,
            role=reading.ingredient.role,
            grams=float(reading.amount.grams),
            measure=reading.amount.measure,
            uncertain=reading.uncertain,
        )


class UnreadLine(Value):
    """A line that is no ingredient, or none that is known; `line` counts from 1 in the text."""

    line: int
    text: str
    message: str


class RecipeReading(Value):
    """The recipe to send on, null where no line could be read, and what was left out of it."""

    recipe: Recipe | None
    lines: tuple[ReadLine, ...]
    unread: tuple[UnreadLine, ...]


def read_recipe(asked: RecipeText) -> RecipeReading:
    """Read every line of a text that is not blank; raise BadInput for ill-named ingredients."""
    shelf = pantry().with_custom(asked.custom_ingredients)
    read: list[ReadLine] = []
    unread: list[UnreadLine] = []
    for number, text in lines_of(asked.text):
        try:
            read.append(ReadLine.of(text, read_line(text, shelf)))
        except UnreadableLine as unreadable:
            unread.append(UnreadLine(line=number, text=text, message=str(unreadable)))
    return RecipeReading(recipe=_recipe(asked, read), lines=tuple(read), unread=tuple(unread))


class NumberedLine(NamedTuple):
    """A line of a text and its number, counted from 1."""

    number: int
    text: str


def lines_of(text: str) -> Iterator[NumberedLine]:
    """Yield the lines of `text` that are not blank, without the space around them."""
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            yield NumberedLine(number, line.strip())


def _recipe(asked: RecipeText, read: list[ReadLine]) -> Recipe | None:
    if not read:
        return None
    try:
        return Recipe(
            title=asked.title,
            custom_ingredients=asked.custom_ingredients,
            lines=tuple(TextLine(text=line.text) for line in read),
        )
    except ValidationError as invalid:  # two ingredients of one name: both stand in the request
        raise BadInput.of(invalid) from None
