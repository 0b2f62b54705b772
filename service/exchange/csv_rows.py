"""Rows of a CSV file of any size, and of one that is broken in places.

A quote that is never closed would swallow the rest of the file. Where a row cannot be cut into
cells, only its first line is given up and the lines after it are read again.
"""

import csv
from collections import deque
from collections.abc import Iterator
from typing import NamedTuple

from service.exchange.byte_lines import MOST_BYTES, ByteLine

READ_AGAIN = 16
"""How many times over a file may be read again, all in all; a file made to hurt asks for more."""


class CsvRow(NamedTuple):
    """A row: the line on which it begins, and its cells; or why it has none."""

    number: int
    cells: list[str]
    fault: str = ""


def csv_rows(lines: Iterator[ByteLine], delimiter: str) -> Iterator[CsvRow]:
    """Yield every row that is not blank."""
    csv.field_size_limit(MOST_BYTES)  # the usual one is smaller than what we write ourselves
    feed = _Feed(lines)
    while True:
        reader = csv.reader(feed, delimiter=delimiter, strict=True)
        try:
            while True:
                feed.begin()
                cells = next(reader)
                fault = feed.fault(cells)
                if cells or fault:
                    yield CsvRow(feed.number, cells, fault)
        except StopIteration:
            return
        except csv.Error as wrong:
            number, reason = feed.number, feed.reason() or _reason(str(wrong))
            feed.give_back()
            yield CsvRow(number, [], reason)


class _Feed:
    """Lines for the CSV reader, which can be had back; one row gets no more than 1 MB of them."""

    def __init__(self, lines: Iterator[ByteLine]) -> None:
        self._lines = lines
        self._waiting: deque[ByteLine] = deque()
        self._taken: list[ByteLine] = []
        self._taken_bytes = 0
        self._spare = MOST_BYTES

    def begin(self) -> None:
        """Expect a new row."""
        self._taken = []
        self._taken_bytes = 0

    @property
    def number(self) -> int:
        """The line on which the row begins."""
        return self._taken[0].number

    def __iter__(self) -> "_Feed":
        return self

    def __next__(self) -> str:
        if self._taken_bytes > MOST_BYTES:
            raise StopIteration
        line = self._waiting.popleft() if self._waiting else self._next_line()
        self._taken.append(line)
        self._taken_bytes += len(line.content)
        return line.content.decode(errors="surrogateescape")

    def _next_line(self) -> ByteLine:
        line = next(self._lines)
        self._spare += READ_AGAIN * len(line.content)
        return line

    def give_back(self) -> None:
        """Have all lines but the first read again, as far as there is patience left."""
        again = self._taken[1:]
        again_bytes = sum(len(line.content) for line in again)
        if again_bytes <= self._spare:
            self._spare -= again_bytes
            self._waiting.extendleft(reversed(again))

    def reason(self) -> str:
        """Return what is wrong with the lines themselves, or nothing."""
        if any(line.too_long for line in self._taken):
            return f"The row has more than {MOST_BYTES:,} bytes."
        return ""

    def fault(self, cells: list[str]) -> str:
        """Return what is wrong with `cells`, or nothing."""
        text = "".join(cells)
        if any("\udc80" <= character <= "\udcff" for character in text if character > "\ud7ff"):
            return "The row is not UTF-8; save the file as UTF-8."
        if "\0" in text:
            return "The row holds a NUL character; leave it out."
        return self.reason()


def _reason(said: str) -> str:
    if "unexpected end" in said:
        return "A quotation mark in this row is never closed."
    return f"The row cannot be divided into cells ({said})."
