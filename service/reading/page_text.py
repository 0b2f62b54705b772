"""A web page without JSON-LD: its recipes in microdata, or else the words that a reader sees.

The page is walked once, from tag to tag, well-formed or not, in time as its length. JSON-LD is
`service.reading.web_page`.
"""

import html
import re
from collections.abc import Iterator
from typing import Any

from service.reading.schema_org import VOCABULARIES

_TAG = re.compile(
    r"<!--.*?(?:-->|\Z)|<(script|style|noscript|template|svg|head|nav"
    r"|select)\b[^<>]*>.*?(?:</\1\s*>|\Z)"
    r"|<(/?)([a-zA-Z][a-zA-Z0-9]{0,12})\b([^<>]{0,2000})>",
    re.DOTALL | re.IGNORECASE,
)
_ATTRIBUTE = re.compile(
    r"\b(itemprop|itemtype|itemscope|content|class)\b"
    r"""(?:\s*=\s*(?:"([^"]*)"|'([^']*)'|([^\s"'>]+)))?""",
    re.IGNORECASE,
)


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


_BLOCKS = _set(
    "address article aside blockquote br caption dd div dl dt fieldset figcaption figure"
    " footer form h1 h2 h3 h4 h5 h6 header hr legend li main ol option p pre section summary"
    " table tbody tfoot thead title tr ul"
)
_VOID = _set("br hr img input link meta source wbr area col embed")
_PROPERTIES = {
    "recipeingredient": "recipeIngredient",
    "ingredients": "recipeIngredient",
    "ingredient": "recipeIngredient",
    "recipeyield": "recipeYield",
    "yield": "recipeYield",
    "name": "name",
}
_LOOKS_LIKE_HTML = re.compile(
    r"<(?:!doctype|html|body|head|div|p|ul|ol|li|span|script|h\d|table|br)\b", re.I
)


def looks_like_a_page(text: str) -> bool:
    """Tell whether a text that was pasted is the source of a web page."""
    return text.lstrip()[:1] == "<" and _LOOKS_LIKE_HTML.search(text[:5000]) is not None


def lines_seen(page: str) -> list[str]:
    """Return the lines of words that a reader of `page` sees, blank ones left out."""
    pieces: list[str] = []
    for text, closing, tag, _ in _walk(page):
        pieces.append(re.sub(r"\s+", " ", html.unescape(text)))
        if tag in _BLOCKS or (closing and tag in {"td", "th"}):
            pieces.append("\n" if tag in _BLOCKS else " ")
    lines = "".join(pieces).split("\n")
    return [line.strip() for line in lines if line.strip()]


def recipes_in_microdata(page: str) -> list[dict[str, Any]]:
    """Return the recipes that `page` marks up with `itemprop`, in the words of JSON-LD."""
    found: list[dict[str, Any]] = []
    open_property: tuple[str, str, int] | None = None  # property, tag, depth of that tag
    words: list[str] = []
    for text, closing, tag, given in _walk(page):
        if open_property is not None:
            words.append(text)
            name, opened, depth = open_property
            if tag == opened and tag not in _VOID:
                depth += -1 if closing else 1
                open_property = (name, opened, depth)
            if depth == 0:
                _keep(found, name, "".join(words))
                open_property = None
            continue
        if closing or not given:
            continue
        if _is_recipe_type(given.get("itemtype", "")):
            found.append({"@type": "Recipe"})
        name = next(
            (_PROPERTIES[n] for n in given.get("itemprop", "").lower().split() if n in _PROPERTIES),
            "",
        )
        if name and found:
            if "content" in given or tag in _VOID:
                _keep(found, name, given.get("content", ""))
            else:
                open_property, words = (name, tag, 1), []
    return [recipe for recipe in found if recipe.get("recipeIngredient")]


def _keep(found: list[dict[str, Any]], name: str, words: str) -> None:
    said = re.sub(r"\s+", " ", html.unescape(words)).strip()
    if not said:
        return
    if name == "recipeIngredient":
        found[-1].setdefault(name, []).append(said)
    else:
        found[-1].setdefault(name, said)


def _is_recipe_type(types: str) -> bool:
    wanted = {f"{vocabulary}recipe".lower() for vocabulary in VOCABULARIES if vocabulary}
    return any(one.lower().rstrip("/") in wanted for one in types.split())


def _walk(page: str) -> Iterator[tuple[str, bool, str, dict[str, str]]]:
    """Yield the text before each tag with the tag: whether it closes, its name, its attributes."""
    at = 0
    for found in _TAG.finditer(page):
        text, at = page[at : found.start()], found.end()
        if found[3] is None:  # a comment, or an element that nobody sees
            yield text, False, "", {}
            continue
        given = {
            one[1].lower(): one[2] or one[3] or one[4] or ""
            for one in _ATTRIBUTE.finditer(found[4] if "item" in found[4] else "")
        }
        yield text, bool(found[2]), found[3].lower(), given
    yield page[at:], False, "", {}
