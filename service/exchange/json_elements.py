"""A long JSON array, element by element as its bytes arrive. What they mean is for others."""

import re
from collections.abc import Iterable, Iterator

from service.exchange.byte_lines import MOST_BYTES
from service.exchange.entry import Unusable

_MARK = re.compile(rb'\\.|["\[\]{},]', re.DOTALL)
_BLANK = b" \t\r\n"


def json_elements(chunks: Iterable[bytes]) -> Iterator[bytes | Unusable]:
    """Yield the elements of an array, or the whole of anything else; each of 1 MB at most."""
    splitter = _Splitter()
    for chunk in chunks:
        yield from splitter.take(chunk)
    yield from splitter.end()


class _Splitter:
    """Where in the document we are, and the element that is being gathered."""

    def __init__(self) -> None:
        self._is_array: bool | None = None  # until its first byte is seen
        self._depth = 0
        self._in_text = False
        self._held = b""
        self._element = bytearray()
        self._too_long = False
        self._row = 0

    def take(self, chunk: bytes) -> Iterator[bytes | Unusable]:
        """Go on with `chunk`, yielding every element that it ends."""
        chunk = self._opened(self._held + chunk)
        self._held = b""
        start = at = 0
        while (found := _MARK.search(chunk, at)) is not None:
            at = found.end()
            if self._is_cut(found[0]):
                self._gather(chunk[start : found.start()])
                yield from self._finish()
                start = at
        if self._ends_in_escape(chunk, at):
            self._held, chunk = chunk[-1:], chunk[:-1]
        self._gather(chunk[start:])

    def end(self) -> Iterator[bytes | Unusable]:
        """Yield what is left."""
        self._gather(self._held)
        if self._is_array and self._depth > 0:
            yield from self._finish()
            message = "The array is not closed; the file seems to be cut off."
            yield Unusable(row=self._row + 1, message=message)
        elif self._is_array and self._element.strip(_BLANK):
            yield Unusable(row=self._row + 1, message="There is more after the end of the array.")
        elif not self._is_array:
            yield from self._finish()

    def _opened(self, chunk: bytes) -> bytes:
        if self._is_array is not None:
            return chunk
        chunk = chunk.removeprefix(b"\xef\xbb\xbf").lstrip(_BLANK)
        if chunk:
            self._is_array = chunk[:1] == b"["
        return chunk

    def _is_cut(self, mark: bytes) -> bool:
        """Follow `mark`; tell whether it opens the array, parts two elements or closes it."""
        if mark == b'"':
            self._in_text = not self._in_text
        elif self._in_text or mark[:1] == b"\\":
            return False
        elif mark in b"[{":
            self._depth += 1
            return bool(self._is_array) and self._depth == 1 and not self._row
        elif mark in b"]}":
            self._depth -= 1
            return bool(self._is_array) and self._depth == 0
        return mark == b"," and bool(self._is_array) and self._depth == 1

    def _ends_in_escape(self, chunk: bytes, at: int) -> bool:
        return chunk.endswith(b"\\") and at < len(chunk)

    def _gather(self, part: bytes) -> None:
        if len(self._element) + len(part) > MOST_BYTES:
            self._too_long = True
            self._element.clear()
        if not self._too_long:
            self._element += part

    def _finish(self) -> Iterator[bytes | Unusable]:
        element, too_long = bytes(self._element).strip(_BLANK), self._too_long
        self._element.clear()
        self._too_long = False
        if too_long:
            self._row += 1
            message = f"It has more than {MOST_BYTES:,} bytes; a recipe may have no more."
            yield Unusable(row=self._row, message=message)
        elif element:
            self._row += 1
            yield element
