"""Understood: what each line of the pasted recipe was taken for, and the ratios of them all."""

import json
from typing import Any, NamedTuple

from pydantic import ValidationError

from models.brief import RecipeToWeigh
from models.errors import BadInput
from models.limits import MOVABLE_ROLES
from models.ratios import RATIOS, RatioName
from models.recipe import Recipe
from models.weighing import Weighing
from service.page.fields import Fields
from service.page.pins import lacks_weight, own_food, pinned
from service.reading.recipe_text import ReadLine, RecipeReading, RecipeText, read_recipe

_PERHAPS_OF_THE_DOUGH = frozenset({"no_amount", "for_serving"})


class UnderstoodLine(NamedTuple):
    """One line: what it was read as, or why it is set aside; `pin` is what was said of it."""

    number: int
    text: str
    read: ReadLine | None
    aside: ReadLine | None
    moves: bool
    kept: bool
    most: str
    pin: dict[str, Any] | None = None
    lacks_weight: bool = False

    @property
    def in_doubt(self) -> bool:
        """Whether somebody should look at it: read with doubt, not read, or settled by hand."""
        unread = self.aside is not None and self.aside.aside and self.aside.aside.code == "unread"
        doubt = self.read is not None and self.read.uncertain is not None
        return bool(self.pin or unread or doubt)

    @property
    def may_be_settled(self) -> bool:
        """Whether it may be said what the line is: not of headings and notes."""
        why = self.aside.aside if self.aside else None
        return self.in_doubt or (why is not None and why.code in _PERHAPS_OF_THE_DOUGH)

    def written(self) -> dict[str, Any]:
        """Return the line as a request holds it."""
        return self.pin or {"text": self.text}


class Understood(NamedTuple):
    """All lines, their ratios where they are a dough, and the ingredients that may be limited.

    `title` is the one that the text bears, `parts` the headings of several parts, `own` the foods
    that the visitor described.
    """

    lines: tuple[UnderstoodLine, ...] = ()
    ratios: tuple[tuple[RatioName, float | None], ...] = ()
    total_grams: float = 0.0
    fault: str | None = None
    title: str | None = None
    parts: tuple[str, ...] = ()
    part: str | None = None
    own: tuple[dict[str, Any], ...] = ()

    @property
    def ingredients(self) -> tuple[str, ...]:
        """The names of the ingredients that were read."""
        names = (line.read.ingredient for line in self.lines if line.read)
        return tuple(dict.fromkeys(name for name in names if name))

    @property
    def in_doubt(self) -> int:
        """How many lines were read with doubt."""
        return sum(1 for line in self.lines if line.read and line.read.uncertain and not line.pin)

    @property
    def set_aside(self) -> int:
        """How many lines are none of the dough."""
        return sum(1 for line in self.lines if line.aside)

    def recipe(self) -> dict[str, Any]:
        """Return the recipe as a request holds it."""
        held: dict[str, Any] = {"lines": [line.written() for line in self.lines]}
        more = {"custom_ingredients": list(self.own), "title": self.title, "part": self.part}
        return held | {name: value for name, value in more.items() if value}


NOTHING_YET = Understood()
"""What is understood of no recipe."""


def understand_lines(fields: Fields) -> Understood:
    """Return what the recipe in `fields` was taken for; nothing for no recipe."""
    text = fields.one("lines")
    if not text.strip():
        return NOTHING_YET
    try:
        part = fields.one("part")[:300] or None
        reading = read_recipe(RecipeText.model_validate({"text": text, "part": part}))
    except ValidationError as invalid:
        return Understood(fault="; ".join(f.message for f in BadInput.of(invalid).faults))
    except BadInput as bad:
        return Understood(fault="; ".join(f"The recipe {f.message}." for f in bad.faults))
    described = (own_food(fields, line) for line in reading.lines)
    own = {food["name"]: food for food in described if food is not None}
    understood = Understood(
        lines=tuple(_line(line, fields) for line in reading.lines),
        title=reading.title,
        parts=reading.parts if len(reading.parts) > 1 else (),
        part=part if part in reading.parts else None,
        own=tuple(own.values()),
    )
    return _weighed(understood, reading)


def _weighed(understood: Understood, reading: RecipeReading) -> Understood:
    """Return `understood` with the weight and the ratios of its dough, if it is one."""
    recipe = _with_pins(understood, reading)
    if recipe is None:
        return understood
    weighing = Weighing.of(RecipeToWeigh(recipe=recipe))
    ratios = tuple((name, getattr(weighing.ratios, name)) for name in RATIOS)
    return understood._replace(ratios=ratios, total_grams=weighing.total_grams)


def _with_pins(understood: Understood, reading: RecipeReading) -> Recipe | None:
    """Return the recipe with what was said of its lines; as read where that means nothing."""
    if not understood.own and not any(line.pin for line in understood.lines):
        return reading.recipe
    try:
        recipe = Recipe.model_validate_json(json.dumps(understood.recipe()))
    except ValidationError:
        return reading.recipe
    return recipe if recipe.counted else None


def _line(line: ReadLine, fields: Fields) -> UnderstoodLine:
    read = line if line.aside is None else None
    return UnderstoodLine(
        line.line,
        line.text,
        read,
        line if line.aside else None,
        moves=line.role in MOVABLE_ROLES,
        kept=line.ingredient is not None and line.ingredient in fields.all("keep"),
        most=fields.one(f"most.{line.ingredient}") if read else "",
        pin=pinned(fields, line),
        lacks_weight=lacks_weight(fields, line),
    )
