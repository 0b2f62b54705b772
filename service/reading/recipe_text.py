"""A recipe from plain text or from schema.org's words: what was read, and what could not be.

How one line is read is `models.reading`. Here nothing is refused for a line that is no ingredient:
it is reported with its number and left out of the recipe.
"""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Annotated, Any, NamedTuple

from pydantic import Field, StringConstraints, ValidationError, field_validator, model_validator

from models.errors import BadInput, Fault, FormholdError
from models.ingredient import Ingredient, Role
from models.reading import Aside, Reading, SetAside, Uncertain
from models.reading.parts import parts_of
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
    def of(cls, line: "NumberedLine", part: str | None, meant: Reading | SetAside) -> "ReadLine":
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
    """

    recipe: Recipe | None
    title: str | None
    lines: tuple[ReadLine, ...]
    parts: tuple[str, ...]
    unread: tuple[UnreadLine, ...]


def read_recipe(asked: RecipeText) -> RecipeReading:
    """Read every line that is not blank; raise BadInput for ill-named ingredients, or where there
    is not one recipe."""
    title, lines = _title_and_lines(asked)
    recipe = _recipe(asked, title, lines)
    understood = recipe.understood if recipe else ()
    parts = parts_of([line.text for line in lines], understood) if recipe else []
    read = tuple(map(ReadLine.of, lines, parts, understood))
    return RecipeReading(
        recipe=recipe if recipe and recipe.counted else None,
        title=title,
        lines=read,
        parts=tuple(dict.fromkeys(part for part in parts if part)),
        unread=tuple(
            UnreadLine(line=line.line, text=line.text, message=line.aside.message)
            for line in read
            if line.aside and line.aside.code == "unread"
        ),
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


def _recipe(asked: RecipeText, title: str | None, lines: Sequence[NumberedLine]) -> Recipe | None:
    if not lines:
        return None
    try:
        return Recipe(
            title=title,
            custom_ingredients=asked.custom_ingredients,
            lines=tuple(TextLine(text=line.text[:MAX_LINE_CHARACTERS]) for line in lines),
        )
    except ValidationError as invalid:  # two ingredients of one name: both stand in the request
        raise BadInput.of(invalid) from None
