"""A web page: the JSON-LD in its `script` elements, and nothing else of it.

The standard library's HTML parser takes time as the square of a page made to hurt, so it is given
one start tag at a time; the page itself is walked once, from mark to mark, well-formed or not.
"""

import re
from collections.abc import Iterator
from html.parser import HTMLParser

MEDIA_TYPE = "application/ld+json"
MOST_TAG_CHARACTERS = 2000

_OPENING = re.compile(r"<!--|<script(?=[\s/>])", re.IGNORECASE)
_CLOSING = re.compile(r"</script(?=[\s/>])", re.IGNORECASE)
_WRAPPING = re.compile(r"\s*(?://|/\*)?\s*(?:<!\[CDATA\[|<!--)\s*(?:\*/)?")


def json_ld_in(page: str) -> Iterator[str]:
    """Yield the text of every JSON-LD script in `page` that is not commented out."""
    at = 0
    while (opening := _OPENING.search(page, at)) is not None:
        if opening[0] == "<!--":
            end = page.find("-->", opening.end())
            at = len(page) if end < 0 else end + 3
            continue
        tag = _Tag(page[opening.start() : opening.start() + MOST_TAG_CHARACTERS])
        if tag.length == 0:  # whatever stands there, stands within the tag
            at = opening.start() + MOST_TAG_CHARACTERS
            continue
        start = opening.start() + tag.length
        closing = _CLOSING.search(page, start)
        at = len(page) if closing is None else closing.end()
        if tag.media_type == MEDIA_TYPE:
            yield _unwrapped(page[start : len(page) if closing is None else closing.start()])


class _Tag(HTMLParser):
    """The start tag that a text opens with: its length, 0 where it has no end, and its type."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.length = 0
        self.media_type = ""
        end = _end_of_tag(text)
        if end:
            self.feed(text[:end])
            self.length = end

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the media type, without parameters."""
        given = next((value for name, value in attrs if name == "type"), None)
        self.media_type = (given or "").partition(";")[0].strip().lower()


def _end_of_tag(text: str) -> int:
    quote = ""
    for at, character in enumerate(text):
        if quote:
            quote = "" if character == quote else quote
        elif character in "\"'" and text[at - 1] in "= \t\r\n":
            quote = character
        elif character == ">":
            return at + 1
    return 0


def _unwrapped(text: str) -> str:
    """Return the script without a comment or CDATA section around it."""
    wrapping = _WRAPPING.match(text)
    if wrapping is None:
        return text
    inner = text[wrapping.end() :].rstrip()
    for end in ("*/", "-->", "]]>", "//", "/*"):
        inner = inner.removesuffix(end).rstrip()
    return inner
