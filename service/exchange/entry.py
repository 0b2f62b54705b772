"""An entry: one recipe on its way into a catalogue or out of it, with all that came with it.

Whatever the file was, an entry is made here from the lines as they were written, so that every
format reads a recipe alike. Which lines are no part of the dough is `service.exchange.parts`.
"""

import hashlib
import json
from collections.abc import Iterable, Sequence
from typing import Annotated, Any, NamedTuple

from pydantic import AfterValidator, StringConstraints, ValidationError

from models.errors import BadInput, Fault, message_of
from models.recipe import MAX_LINES, MeasuredLine, Recipe, TextLine, Title
from models.value import Value
from service.reading.recipe_text import UnreadLine
from service.reading.schema_org import Written, words_of

LINES, INGREDIENTS = "recipeIngredient", "custom_ingredients"
"""The members of `extras` that hold what a recipe cannot: its lines as written, where some of them
are not in it, and the caller's ingredients, where there is no recipe to hold them."""


def _without_nul(text: str) -> str:
    if "\0" in text:
        raise ValueError("holds a NUL character, which no database keeps; leave it out")
    return text


ExternalId = Annotated[
    str, StringConstraints(min_length=1, max_length=300), AfterValidator(_without_nul)
]


class Entry(Value):
    """A recipe by the name it has where it came from.

    `recipe` is null where a line that may belong to the dough could not be read: it is never made
    of the rest. `unread` are the lines that are not in the recipe, counted from 1 among the lines
    as written; `extras` is what came with the recipe and is given back with it.
    """

    external_id: ExternalId
    title: Annotated[Title, AfterValidator(_without_nul)] | None
    recipe: Recipe | None
    unread: tuple[UnreadLine, ...]
    extras: dict[str, Any]


class Unusable(Value):
    """What stands in a file but makes no entry: where it begins, and why it was left out.

    `row` counts from 1: lines of a CSV or NDJSON file, recipes of an array or a page.
    """

    row: int
    external_id: str | None = None
    message: str


NO_LINES = "The recipe has no ingredients. Write each on a line of its own."


def entry_of(
    external_id: str | None, title: str | None, written: Iterable[Written], extras: dict[str, Any]
) -> Entry:
    """Return the entry of a recipe as `written`; without an id it is named by its content.

    Raises BadInput where title, id or the caller's own ingredients are at fault.
    """
    lines = [line for line in written if words_of(line)]
    kept = {name: value for name, value in extras.items() if name not in {LINES, INGREDIENTS}}
    custom = extras.get(INGREDIENTS) or []
    recipe, unread = _read(title or None, lines, custom)
    if recipe is None or [written_line(line) for line in recipe.lines] != lines:
        kept[LINES] = lines
    if recipe is None and custom:
        kept[INGREDIENTS] = custom
    try:
        return Entry(
            external_id=named_by_content(title, lines) if external_id is None else external_id,
            title=title or None,
            recipe=recipe,
            unread=unread,
            extras=kept,
        )
    except ValidationError as invalid:
        raise BadInput.of(invalid) from None


def kept_entry(
    external_id: str, title: str | None, recipe: dict[str, Any], unread: Any, extras: dict[str, Any]
) -> Entry:
    """Return an entry as it was kept; its lines are judged anew where they no longer read.

    Raises BadInput.
    """
    members = {
        "external_id": external_id,
        "title": title,
        "recipe": recipe,
        "unread": unread,
        "extras": extras,
    }
    try:
        return Entry.model_validate_json(json.dumps(members))
    except ValidationError as invalid:
        if any(fault["loc"][:2] != ("recipe", "lines") for fault in invalid.errors()):
            raise BadInput.of(invalid) from None
    own = recipe.get(INGREDIENTS)
    kept = {**extras, **({INGREDIENTS: own} if own else {})}
    return entry_of(external_id, title, written_lines_in(recipe), kept)


def written_lines_in(recipe: dict[str, Any]) -> list[Written]:
    """Return the lines of a recipe of ours, as JSON, as they were written; raise BadInput."""
    lines = recipe.get("lines")
    if not isinstance(lines, list) or not all(isinstance(line, dict) for line in lines):
        message = "must be an array of objects with text, or ingredient, quantity and unit"
        raise BadInput([Fault(pointer="/recipe/lines", message=message)])
    return [plain_line(line) for line in lines]


def plain_line(line: Written) -> Written:
    """Return a line that says nothing but its text as that text."""
    if isinstance(line, str) or set(line) != {"text"} or not isinstance(line["text"], str):
        return line
    return line["text"]


def written_lines(entry: Entry) -> list[Written]:
    """Return the lines of `entry` as they were written."""
    kept = entry.extras.get(LINES)
    if isinstance(kept, list):
        return kept
    return [written_line(line) for line in entry.recipe.lines] if entry.recipe else []


def own_ingredients(entry: Entry) -> list[Any]:
    """Return the caller's own ingredients in `entry`, as JSON."""
    if entry.recipe is None:
        return list(entry.extras.get(INGREDIENTS) or [])
    return [one.model_dump(mode="json") for one in entry.recipe.custom_ingredients]


def written_line(line: TextLine | MeasuredLine) -> Written:
    """Return a line of a recipe as a file holds it: its text, or its three members."""
    return line.text if isinstance(line, TextLine) else line.model_dump(mode="json")


def named_by_content(title: str | None, lines: Sequence[Written]) -> str:
    """Return the name of a recipe that came without one; the same recipe has the same name."""
    content = json.dumps([title, lines], sort_keys=True).encode()
    return f"sha256:{hashlib.sha256(content).hexdigest()[:32]}"


def left_out(row: int, external_id: str | None, faults: Iterable[Fault]) -> Unusable:
    """Return what is said of a row with `faults`."""
    said = (f"{fault.pointer.lstrip('/')} {fault.message}".strip() for fault in faults)
    return Unusable(row=row, external_id=external_id, message="; ".join([*said][:10]))


class _Numbered(NamedTuple):
    """A line as written, its words, and its number."""

    number: int
    written: Written
    words: str

    def because(self, message: str) -> UnreadLine:
        """Return this line as unread."""
        return UnreadLine(line=self.number, text=self.words, message=message)


def _read(
    title: str | None, written: Sequence[Written], custom: Any
) -> tuple[Recipe | None, tuple[UnreadLine, ...]]:
    lines = [_Numbered(n, line, words_of(line)) for n, line in enumerate(written, start=1)]
    if not lines:
        return None, (UnreadLine(line=1, text="", message=NO_LINES),)
    if len(lines) > MAX_LINES:
        many = f"The recipe has {len(lines)} lines; {MAX_LINES} at most are read. Divide it."
        return None, (lines[MAX_LINES].because(many),)
    recipe, faults = _recipe_of(title, lines, custom)
    if recipe is not None:
        faults = {lines[each.line - 1].number: each.message for each in recipe.doubtful}
    missed = (line for line in lines if line.number in faults)
    return recipe, tuple(line.because(faults[line.number]) for line in missed)


def _recipe_of(
    title: str | None, lines: Sequence[_Numbered], custom: Any
) -> tuple[Recipe | None, dict[int, str]]:
    """Return the recipe of all `lines`, or what is wrong with which of them."""
    if not lines:
        return None, {}
    members = {
        "title": title,
        "custom_ingredients": custom,
        "lines": [_member(line) for line in lines],
    }
    try:
        return Recipe.model_validate_json(json.dumps(members)), {}
    except ValidationError as invalid:
        items: list[Any] = list(invalid.errors(include_url=False, include_input=False))
        if any(item["loc"][0] != "lines" for item in items):
            raise BadInput.of(invalid) from None
        faults: dict[int, str] = {}
        for item in items:
            if len(item["loc"]) > 1:  # else it only says that no line is left
                faults.setdefault(lines[item["loc"][1]].number, _message(item))
        return None, faults


def _message(item: Any) -> str:
    """Return what is wrong with a line, after the name of the member that is not its text."""
    member = str(item["loc"][-1])
    plain = member == "text" or item["type"] == "refused"
    return message_of(item) if plain else f"{member} {message_of(item)}"


def _member(line: _Numbered) -> dict[str, Any]:
    if isinstance(line.written, dict) and set(line.written) == set(MeasuredLine.model_fields):
        return line.written
    return {"text": line.words}
