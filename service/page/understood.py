"""Understood: what each line of the pasted recipe was taken for, and the ratios of them all."""

from typing import Any, NamedTuple

from pydantic import ValidationError

from models.brief import RecipeToWeigh
from models.errors import BadInput
from models.limits import MOVABLE_ROLES
from models.ratios import RATIOS, RatioName
from models.recipe import Recipe, TextLine
from models.weighing import Weighing
from service.page.fields import Fields
from service.page.pins import is_pinned, pinned
from service.reading.recipe_text import ReadLine, RecipeReading, RecipeText, read_recipe


class UnderstoodLine(NamedTuple):
    """One line: what it was read as, or why it could not be read."""

    number: int
    text: str
    read: ReadLine | None
    fault: str | None
    moves: bool
    kept: bool
    most: str
    pin: dict[str, Any] | None = None


class Understood(NamedTuple):
    """All lines, their ratios where they are a dough, and the ingredients that may be limited."""

    lines: tuple[UnderstoodLine, ...] = ()
    ratios: tuple[tuple[RatioName, float | None], ...] = ()
    total_grams: float = 0.0
    fault: str | None = None

    @property
    def ingredients(self) -> tuple[str, ...]:
        """The names of the ingredients that were read."""
        names = (line.read.ingredient for line in self.lines if line.read)
        return tuple(dict.fromkeys(name for name in names if name))

    @property
    def in_doubt(self) -> int:
        """How many lines were read with doubt."""
        return sum(1 for line in self.lines if line.read and line.read.uncertain)

    @property
    def unread(self) -> int:
        """How many lines could not be read."""
        return sum(1 for line in self.lines if line.fault)


NOTHING_YET = Understood()
"""What is understood of no recipe."""


def understand_lines(fields: Fields) -> Understood:
    """Return what the recipe in `fields` was taken for; nothing for no recipe."""
    text = fields.one("lines")
    if not text.strip():
        return NOTHING_YET
    try:
        reading = read_recipe(RecipeText.model_validate({"text": text}))
    except ValidationError as invalid:
        return Understood(fault="; ".join(f.message for f in BadInput.of(invalid).faults))
    except BadInput as bad:
        return Understood(fault="; ".join(f"The recipe {f.message}." for f in bad.faults))
    lines = tuple(_lines(reading, fields))
    if reading.recipe is None:
        return Understood(lines)
    weighing = Weighing.of(RecipeToWeigh(recipe=_with_pins(reading.recipe, fields)))
    ratios = tuple((name, getattr(weighing.ratios, name)) for name in RATIOS)
    return Understood(lines, ratios, weighing.total_grams)


def _with_pins(recipe: Recipe, fields: Fields) -> Recipe:
    """Return the recipe with what was said of its lines; as read where that means nothing."""
    texts = [line.text for line in recipe.lines if isinstance(line, TextLine)]
    if not any(is_pinned(fields, text) for text in texts):
        return recipe
    try:
        return Recipe(lines=tuple(TextLine(**pinned(fields, text)) for text in texts))
    except ValidationError:
        return recipe


def _lines(reading: RecipeReading, fields: Fields) -> list[UnderstoodLine]:
    return [
        _line(
            line.line,
            line.text,
            line if line.aside is None else None,
            line.aside.message if line.aside else None,
            fields,
        )._replace(pin=pinned(fields, line.text) if is_pinned(fields, line.text) else None)
        for line in reading.lines
    ]


def _line(
    number: int, text: str, read: ReadLine | None, fault: str | None, fields: Fields
) -> UnderstoodLine:
    if read is None:
        return UnderstoodLine(number, text, None, fault, False, False, "")
    return UnderstoodLine(
        number,
        text,
        read,
        None,
        moves=read.role in MOVABLE_ROLES,
        kept=read.ingredient in fields.all("keep"),
        most=fields.one(f"most.{read.ingredient}"),
    )
