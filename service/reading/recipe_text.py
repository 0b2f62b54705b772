"""A recipe from plain text or from schema.org's words: what was read, and what could not be.

How one line is read is `models.reading`. Here nothing is refused for a line that is no ingredient:
it is reported with its number and left out of the recipe.
"""

from collections.abc import Iterator
from contextlib import suppress
from typing import Annotated, Any, NamedTuple

from pydantic import Field, StringConstraints, ValidationError, field_validator, model_validator

from models.errors import BadInput, Fault, FormholdError
from models.ingredient import Ingredient, Role
from models.pantry import pantry
from models.reading import Reading, Uncertain, UnreadableLine, read_line
from models.recipe import MAX_LINE_CHARACTERS, MAX_LINES, Recipe, TextLine, Title
from models.value import Value
from service.reading.schema_org import recipes_in, take, words_in, words_of, written_lines_of
from service.reading.strict_json import read_json
from service.reading.web_page import json_ld_in


class RecipeText(Value):
    """A recipe as plain text, one ingredient a line; blank lines say nothing.

    Or in schema.org's words: as JSON-LD, or within a web page. No context is ever fetched.
    """

    title: Title | None = None
    custom_ingredients: Annotated[tuple[Ingredient, ...], Field(max_length=50)] = ()
    text: (
        Annotated[str, StringConstraints(min_length=1, max_length=MAX_LINES * MAX_LINE_CHARACTERS)]
        | None
    ) = None
    json_ld: dict[str, Any] | list[Any] | None = None
    html: str | None = None

    @field_validator("text")
    @classmethod
    def _not_too_long(cls, text: str | None) -> str | None:
        count = sum(1 for _ in lines_of(text or ""))
        if count > MAX_LINES:
            raise ValueError(_too_many(count))
        return text

    @model_validator(mode="after")
    def _one_kind(self) -> "RecipeText":
        if [self.text, self.json_ld, self.html].count(None) != 2:
            raise ValueError("give one of text, json_ld and html")
        return self


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
    """Read every line that is not blank; raise BadInput for ill-named ingredients, or where there
    is not one recipe."""
    title, lines = _title_and_lines(asked)
    shelf = pantry().with_custom(asked.custom_ingredients)
    read: list[ReadLine] = []
    unread: list[UnreadLine] = []
    for number, text in lines:
        try:
            read.append(ReadLine.of(text, read_line(text, shelf)))
        except UnreadableLine as unreadable:
            unread.append(UnreadLine(line=number, text=text, message=str(unreadable)))
    return RecipeReading(
        recipe=_recipe(asked, title, read), lines=tuple(read), unread=tuple(unread)
    )


class NumberedLine(NamedTuple):
    """A line of a text and its number, counted from 1."""

    number: int
    text: str


def lines_of(text: str) -> Iterator[NumberedLine]:
    """Yield the lines of `text` that are not blank, without the space around them."""
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            yield NumberedLine(number, line.strip())


def _title_and_lines(asked: RecipeText) -> tuple[str | None, list[NumberedLine]]:
    if asked.text is not None:
        return asked.title, list(lines_of(asked.text))
    member = "html" if asked.json_ld is None else "json_ld"
    found = list(
        _recipes_in_page(asked.html or "") if member == "html" else recipes_in(asked.json_ld)
    )
    if len(found) != 1:
        message = f"holds {len(found) or 'no'} recipes in schema.org's words; send one"
        raise BadInput([Fault(pointer=f"/{member}", message=message)])
    members = dict(found[0])
    texts = [words_of(line) for line in written_lines_of(members)]
    lines = [NumberedLine(number, text) for number, text in enumerate(texts, start=1) if text]
    if len(lines) > MAX_LINES:
        raise BadInput([Fault(pointer=f"/{member}", message=_too_many(len(lines)))])
    return asked.title or (words_in(take(members, "name")) or "")[:300] or None, lines


def _recipes_in_page(page: str) -> Iterator[dict[str, Any]]:
    for script in json_ld_in(page):
        with suppress(FormholdError):  # a page has scripts that are broken, and not the recipe's
            content, _ = read_json(script.encode(errors="replace"))
            yield from recipes_in(content)


def _too_many(count: int) -> str:
    return f"has {count} lines that are not blank; a recipe has {MAX_LINES}"


def _recipe(asked: RecipeText, title: str | None, read: list[ReadLine]) -> Recipe | None:
    if not read:
        return None
    try:
        return Recipe(
            title=title,
            custom_ingredients=asked.custom_ingredients,
            lines=tuple(TextLine(text=line.text) for line in read),
        )
    except ValidationError as invalid:  # two ingredients of one name: both stand in the request
        raise BadInput.of(invalid) from None
