"""A recipe from plain text or from schema.org's words: what was read, and what could not be.

How one line is read is `models.reading`. Here nothing is refused for a line that is no ingredient:
it is reported with its number and left out of the recipe.
"""

from typing import Annotated, Any

from pydantic import ConfigDict, Field, StringConstraints, ValidationError, model_validator

from models.errors import BadInput, Fault
from models.ingredient import Ingredient, Role
from models.reading import Aside, Reading, SetAside, Uncertain
from models.reading.language import Language, guess_language
from models.reading.whole import NO_LINES
from models.recipe import MAX_LINE_CHARACTERS, MAX_LINES, Recipe, TextLine, Title
from models.value import Value
from service.reading.sources import (
    NumberedLine,
    Source,
    source_of_json_ld,
    source_of_page,
    source_of_text,
    too_many,
)


class RecipeText(Value):
    """A recipe as plain text, one ingredient a line; blank lines say nothing.

    Or in schema.org's words: as JSON-LD, or within a web page. No context is ever fetched.
    """

    title: Title | None = None
    part: Title | None = None
    language: Language | None = None
    custom_ingredients: Annotated[tuple[Ingredient, ...], Field(max_length=50)] = ()
    text: (
        Annotated[str, StringConstraints(min_length=1, max_length=MAX_LINES * MAX_LINE_CHARACTERS)]
        | None
    ) = None
    json_ld: dict[str, Any] | list[Any] | None = None
    html: str | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> "RecipeText":
        if [self.text, self.json_ld, self.html].count(None) != 2:
            raise ValueError("give one of text, json_ld and html")
        return self


class ReadLine(Value):
    """What one line means; of a line that is set aside everything is null but `aside`.

    `line` counts from 1 in the text, blank lines too; `part` is the heading that it stands under.
    """

    line: int
    text: str
    part: str | None
    ingredient: str | None
    role: Role | None
    grams: float | None
    measure: str | None
    uncertain: Uncertain | None
    aside: Aside | None

    @classmethod
    def of(cls, line: NumberedLine, part: str | None, meant: Reading | SetAside) -> "ReadLine":
        """Show what a line means beside the text it was read from."""
        read = meant if isinstance(meant, Reading) else None
        return cls(
            line=line.number,
            text=line.text,
            part=part,
            ingredient=read.ingredient.name if read else None,
            role=read.ingredient.role if read else None,
            grams=float(read.amount.grams) if read else None,
            measure=read.amount.measure if read else None,
            uncertain=read.uncertain if read else None,
            aside=meant.aside if isinstance(meant, SetAside) else None,
        )


class UnreadLine(Value):
    """A line that could not be read; `line` counts from 1 in the text."""

    line: int
    text: str
    message: str


class RecipeReading(Value):
    """The recipe to send on, every line of the text once and in order, and its parts.

    The recipe holds every line, and sent to any question it is read as it was here; null where the
    text has no line of a dough. `unread` are the lines that measure something nobody could weigh.
    `yield` is what it says it makes; `language` is guessed unless it was given.
    """

    model_config = ConfigDict(populate_by_name=True)

    recipe: Recipe | None
    title: str | None
    makes: str | None = Field(alias="yield")
    language: Language
    lines: tuple[ReadLine, ...]
    parts: tuple[str, ...]
    other_recipes: tuple[str, ...] = ()
    unread: tuple[UnreadLine, ...]


def read_recipe(asked: RecipeText) -> RecipeReading:
    """Read every line that is not blank; raise BadInput for ill-named ingredients, or where there
    is not one recipe."""
    source = _source(asked)
    recipe = _recipe(asked, source)
    whole = recipe.whole if recipe else NO_LINES
    read = tuple(map(ReadLine.of, source.lines, whole.parts, whole.lines))
    return RecipeReading(
        recipe=recipe if recipe and recipe.counted else None,
        title=source.title or whole.title,
        makes=source.makes or whole.makes,
        language=asked.language or guess_language(line.text for line in source.lines),
        lines=read,
        parts=tuple(dict.fromkeys(part for part in whole.parts if part)),
        other_recipes=source.others,
        unread=tuple(
            UnreadLine(line=line.line, text=line.text, message=line.aside.message)
            for line in read
            if line.aside and line.aside.code == "unread"
        ),
    )


def _source(asked: RecipeText) -> Source:
    """Return the lines to read; raise BadInput where there are none, or too many."""
    if asked.text is not None:
        member, source = "text", source_of_text(asked.text)
    elif asked.json_ld is not None:
        member, source = "json_ld", source_of_json_ld(asked.json_ld)
    else:
        member, source = "html", source_of_page(asked.html or "")
    if len(source.lines) > MAX_LINES:
        raise BadInput([Fault(pointer=f"/{member}", message=too_many(len(source.lines)))])
    return source._replace(title=asked.title or source.title)


def _recipe(asked: RecipeText, source: Source) -> Recipe | None:
    """Return the recipe of all lines, under its own title where none was given."""
    if not source.lines:
        return None
    try:
        recipe = Recipe(
            title=source.title,
            part=asked.part,
            custom_ingredients=asked.custom_ingredients,
            lines=tuple(TextLine(text=line.text[:MAX_LINE_CHARACTERS]) for line in source.lines),
        )
    except ValidationError as invalid:  # two ingredients of one name: both stand in the request
        raise BadInput.of(invalid) from None
    return recipe.model_copy(update={"title": source.title or recipe.whole.title})
