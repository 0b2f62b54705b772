"""JSON-LD: recipes in schema.org's words into entries, and entries into them again.

Members that are not understood are kept with the entry and written back. Where the recipes stand
in a document is `service.reading.schema_org`; how a long array is read bit by bit is
`service.exchange.json_elements`.
"""

import json
from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import Any

from models.errors import BadInput, Fault, FormholdError
from models.pantry import Pantry, known_pantry
from service.exchange.entry import (
    INGREDIENTS,
    LINES,
    Entry,
    Unusable,
    entry_of,
    left_out,
    own_ingredients,
    written_lines,
)
from service.exchange.json_elements import json_elements
from service.reading.line_words import line_words
from service.reading.page_text import recipes_in_microdata
from service.reading.schema_org import (
    Written,
    recipes_in,
    take,
    words_in,
    words_of,
    written_lines_of,
)
from service.reading.strict_json import read_json
from service.reading.web_page import json_ld_in

MOST_PAGE_BYTES = 4_000_000
"""A page is held in memory whole, unlike every other kind of file."""

_CONTEXT, _TYPE = "https://schema.org", "Recipe"
_NOTHING = Unusable(row=1, message="There is no schema.org Recipe in it.")


def read_json_ld(chunks: Iterable[bytes]) -> Iterator[Entry | Unusable]:
    """Yield the recipes of a document, or of the documents in one array of any length."""
    row = 0
    for element in json_elements(chunks):
        if isinstance(element, Unusable):
            row += 1
            yield element
            continue
        for entry in _entries_in_json(element, row):
            row += 1
            yield entry
    if not row:
        yield _NOTHING


def read_page(chunks: Iterable[bytes]) -> Iterator[Entry | Unusable]:
    """Yield the recipes in a web page's JSON-LD, or else in its microdata.

    Raises BadInput for a page too large or no text.
    """
    row, page = 0, page_text(chunks)
    for script in json_ld_in(page):
        for entry in _entries_in_json(script.encode(errors="replace"), row):
            row += 1
            yield entry
    for entry in () if row else entries_in(recipes_in_microdata(page)):
        row += 1
        yield entry
    if not row:
        yield _NOTHING


def page_text(chunks: Iterable[bytes]) -> str:
    """Return a page as text; raise BadInput."""
    page = bytearray()
    for chunk in chunks:
        page += chunk
        if len(page) > MOST_PAGE_BYTES:
            raise _refused(f"is a page of more than {MOST_PAGE_BYTES:,} bytes")
    try:
        return page.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise _refused(f"is not UTF-8 at byte {wrong.start}; send UTF-8") from None


def entries_in(content: Any, row: int = 0) -> Iterator[Entry | Unusable]:
    """Yield the recipes in JSON that was read already; `row` is how many came before."""
    for number, node in enumerate(recipes_in(content), start=row + 1):
        members = dict(node)
        title, external_id = _take_title(members), _take_id(members)
        lines = written_lines_of(members)
        try:
            yield entry_of(external_id, title, lines, members)
        except BadInput as wrong:
            yield left_out(number, external_id, wrong.faults)


def recipe_object(entry: Entry) -> dict[str, Any]:
    """Return `entry` in schema.org's words, with everything that came with it."""
    kept = {name: value for name, value in entry.extras.items() if name != LINES}
    members: dict[str, Any] = {"@context": _CONTEXT, "@type": _TYPE}
    if _take_id(dict(kept)) != entry.external_id:
        members["identifier"] = entry.external_id
    if entry.title is not None:
        members["name"] = entry.title
    own = own_ingredients(entry)
    pantry = entry.recipe.pantry if entry.recipe else known_pantry()
    lines = [_shown(line, pantry) for line in written_lines(entry)]
    return {**members, **kept, **({INGREDIENTS: own} if own else {}), LINES: lines}


def write_json_ld(entries: Iterable[Entry]) -> Iterator[str]:
    """Yield one array of recipes, bit by bit."""
    opening = "["
    for entry in entries:
        yield f"{opening}\n{json.dumps(recipe_object(entry), ensure_ascii=False)}"
        opening = ","
    yield "[]\n" if opening == "[" else "\n]\n"


def _entries_in_json(body: bytes, row: int) -> Iterator[Entry | Unusable]:
    try:
        content, odd = read_json(body)
    except FormholdError as wrong:
        yield Unusable(row=row + 1, message=str(wrong))
        return
    if odd:
        yield left_out(row + 1, None, odd)
        return
    yield from entries_in(content, row)


def _refused(message: str) -> BadInput:
    return BadInput([Fault(pointer="", message=message)])


def _take_title(members: dict[str, Any]) -> str | None:
    """Take the name out of `members`, unless it is more than a text; then it stays there too."""
    value = members.get("name")
    if isinstance(value, str) and value:
        del members["name"]
        return value
    return words_in(take(dict(members), "name"))


def _take_id(members: dict[str, Any]) -> str | None:
    """Return what names a recipe for good; `identifier` is taken out where it is that.

    What a recipe that was written by us has by itself (context, type) is taken out as well.
    """
    for name, usual in (("@context", _CONTEXT), ("@type", _TYPE)):
        if members.get(name) == usual:
            del members[name]
    for name in ("identifier", "@id", "url"):
        value = members.get(name)
        if isinstance(value, str) and value.strip() and len(value) <= 300:
            if name == "identifier":
                del members[name]
            return value
    return None


def _shown(line: Written, pantry: Pantry) -> Written:
    """Return a line as other programs can read it: our three members in words."""
    if isinstance(line, str) or set(line) != {"ingredient", "quantity", "unit"}:
        return line
    with suppress(ValueError):
        return line_words(line, pantry)
    return words_of(line) or line
