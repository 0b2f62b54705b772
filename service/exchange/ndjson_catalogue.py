"""A catalogue as NDJSON: one recipe a line, as JSON; the form in which nothing is lost.

A line is an entry as we write it, or `external_id`, `title` and `lines` (each a text, or a line as
every request here has it), or a recipe in schema.org's words.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import Field, ValidationError, model_validator

from models.errors import BadInput, FormholdError
from models.value import Value
from service.exchange.byte_lines import MOST_BYTES, ByteLine, byte_lines
from service.exchange.entry import (
    LINES,
    Entry,
    Unusable,
    entry_of,
    kept_entry,
    left_out,
    named_by_content,
    plain_line,
    written_lines_in,
)
from service.exchange.json_ld import entries_in
from service.reading.schema_org import written_in
from service.reading.strict_json import read_json

_SCHEMA_ORG = {"@type", "@graph", "@context"}


def read_ndjson(chunks: Iterable[bytes]) -> Iterator[Entry | Unusable]:
    """Yield the recipe of every line that is not blank."""
    for line in byte_lines(chunks):
        if line.too_long:
            message = f"The line has more than {MOST_BYTES:,} bytes."
            yield Unusable(row=line.number, message=message)
        elif line.content.strip():
            yield from _entries_in(line)


def write_ndjson(entries: Iterable[Entry]) -> Iterator[str]:
    """Yield a line for each of `entries`."""
    return (f"{entry.model_dump_json()}\n" for entry in entries)


class _Given(Value):
    """The members that a line of our own may have."""

    external_id: str | None = None
    title: str | None = None
    recipe: dict[str, Any] | None = None
    lines: list[str | dict[str, Any]] | None = None
    unread: list[Any] = Field(default_factory=list)
    extras: dict[str, Any] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _one_of_both(self) -> "_Given":
        if self.recipe is not None and self.lines is not None:
            raise ValueError("give lines or recipe, not both")
        return self


def _entries_in(line: ByteLine) -> Iterator[Entry | Unusable]:
    try:
        content, odd = read_json(line.content)
        if odd:
            raise BadInput(odd)
        if isinstance(content, dict) and not _SCHEMA_ORG & set(content):
            yield _entry(content)
            return
    except BadInput as wrong:
        yield left_out(line.number, None, wrong.faults)
        return
    except FormholdError as wrong:
        yield Unusable(row=line.number, message=str(wrong))
        return
    found = list(entries_in(content))
    for each in found:
        yield each if isinstance(each, Entry) else each.model_copy(update={"row": line.number})
    if not found:
        yield Unusable(row=line.number, message="There is no recipe in it.")


def _entry(content: dict[str, Any]) -> Entry:
    try:
        given = _Given.model_validate(content)
    except ValidationError as invalid:
        raise BadInput.of(invalid) from None
    extras = given.extras
    if given.recipe is None:
        written = [plain_line(line) for line in given.lines or ()] or written_in(extras.get(LINES))
        return entry_of(given.external_id, given.title, written, extras)
    title = given.title if "title" in content else given.recipe.get("title")
    name = given.external_id
    if name is None:
        name = named_by_content(title, written_lines_in(given.recipe))
    return kept_entry(name, title, given.recipe, given.unread, extras)
