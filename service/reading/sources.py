"""What was sent as a recipe: plain text, JSON-LD, or the source of a web page, pasted whole.

The lines to read are found here with the title and what the recipe makes; what they mean is
`models.reading`. Of several recipes the one with the most ingredients is taken.
"""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Any, NamedTuple

from models.errors import BadInput, Fault, FormholdError
from models.recipe import MAX_LINES
from service.reading.page_text import lines_seen, looks_like_a_page, recipes_in_microdata
from service.reading.schema_org import (
    recipes_in,
    take,
    words_in,
    words_of,
    written_lines_of,
)
from service.reading.strict_json import read_json
from service.reading.web_page import json_ld_in


class NumberedLine(NamedTuple):
    """A line of a text and its number, counted from 1."""

    number: int
    text: str


class Source(NamedTuple):
    """What there is to read; `others` are the titles of recipes beside it."""

    lines: Sequence[NumberedLine]
    title: str | None = None
    makes: str | None = None
    others: tuple[str, ...] = ()


def source_of_text(text: str) -> Source:
    """Return the lines of a text; of JSON-LD or a page pasted as text, those of its recipe."""
    if looks_like_a_page(text):
        return source_of_page(text)
    if text.lstrip()[:1] in ("{", "["):
        with suppress(FormholdError):
            content, _ = read_json(text.strip().encode(errors="replace"))
            if any(recipes_in(content)):
                return source_of_json_ld(content)
    return Source(list(lines_of(text)))


def source_of_json_ld(content: Any) -> Source:
    """Return the recipe in JSON-LD; raise BadInput where there is none."""
    return _chosen(list(recipes_in(content)), "json_ld")


def source_of_page(page: str) -> Source:
    """Return the recipe of a web page: in JSON-LD, in microdata, or as a reader sees it."""
    marked = [*_recipes_in_scripts(page)] or recipes_in_microdata(page)
    if any(written_lines_of(dict(recipe)) for recipe in marked):
        return _chosen(marked, "html")
    seen = lines_seen(page)
    if not seen:
        raise _nothing("html")
    return Source([NumberedLine(n, text) for n, text in enumerate(seen, start=1)])


def lines_of(text: str) -> Iterator[NumberedLine]:
    """Yield the lines of `text` that are not blank, without the space around them."""
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            yield NumberedLine(number, line.strip())


def _chosen(recipes: Sequence[dict[str, Any]], member: str) -> Source:
    sources = [_of_recipe(dict(recipe)) for recipe in recipes]
    if not sources or not any(source.lines for source in sources):
        raise _nothing(member)
    best = max(sources, key=lambda source: len(source.lines))
    others = {source.title for source in sources if source.title and source.title != best.title}
    return best._replace(others=tuple(sorted(others)))


def _of_recipe(members: dict[str, Any]) -> Source:
    texts = [words_of(line) for line in written_lines_of(members)]
    lines = [NumberedLine(n, text) for n, text in enumerate(texts, start=1) if text]
    title = (words_in(take(members, "name")) or "")[:300] or None
    return Source(lines, title, _yield_of(take(members, "recipeYield") or take(members, "yield")))


def _yield_of(value: Any) -> str | None:
    """Return the longest way in which a recipe says what it makes: "24 cookies" beside "24"."""
    values = value if isinstance(value, list) else [value]
    said = [str(one) for one in values if isinstance(one, str | int) and str(one).strip()]
    return max(said, key=len, default=words_in(value) if isinstance(value, dict) else None)


def _recipes_in_scripts(page: str) -> Iterator[dict[str, Any]]:
    for script in json_ld_in(page):
        with suppress(FormholdError):  # a page has scripts that are broken, and not the recipe's
            content, _ = read_json(script.encode(errors="replace"))
            yield from recipes_in(content)


def _nothing(member: str) -> BadInput:
    message = (
        "holds no recipe: nothing in schema.org's words with ingredients, and no line to read. "
        "Paste the ingredients as text"
    )
    return BadInput([Fault(pointer=f"/{member}", message=message)])


def too_many(count: int) -> str:
    """Say that a text has too many lines."""
    return (
        f"has {count} lines that are not blank; a recipe has {MAX_LINES} at most. "
        "Paste the recipe without what stands around it"
    )
