"""Importing: a stream of entries onto a shelf, some hundreds to a transaction.

What stands there already under the same name gets a new version where it differs and none where it
does not, so a file may be sent again after whatever happened. Of a name that comes twice in one
file the first counts.
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from itertools import islice
from typing import NamedTuple, Protocol

from models.value import Value
from service.exchange.entry import Entry, Unusable

BATCH = 500
MOST_FAULTS = 100


class Counts(NamedTuple):
    """What became of a batch."""

    created: int
    updated: int
    unchanged: int


class RecipeShelf(Protocol):
    """Where recipes are kept by catalogue and external id."""

    def put_many(self, caller_id: str, catalogue_id: str, entries: Sequence[Entry]) -> Counts:
        """Keep all `entries` in one transaction, or none of them."""
        ...

    def each(self, caller_id: str, catalogue_id: str) -> Iterator[Entry]:
        """Yield every recipe of a catalogue, in the order in which they came."""
        ...


class ImportFault(Value):
    """What could not be used: a place in the file, or a line of a recipe, counted from 1."""

    row: int | None = None
    external_id: str | None = None
    line: int | None = None
    message: str


class ImportSummary(Value):
    """What became of a file.

    `unreadable` counts the recipes that were kept but cannot be reformulated, for a line that could
    not be read; `left_out` what was not kept at all. The first 100 faults are listed.
    """

    created: int = 0
    updated: int = 0
    unchanged: int = 0
    unreadable: int = 0
    left_out: int = 0
    faults: tuple[ImportFault, ...] = ()


def import_catalogue(
    shelf: RecipeShelf, caller_id: str, catalogue_id: str, found: Iterable[Entry | Unusable]
) -> ImportSummary:
    """Put everything that is `found` onto `shelf`, and return what became of it."""
    tally = _Tally()
    with closing(sqlite3.connect("")) as seen:  # a file of its own that goes by itself
        seen.execute("CREATE TABLE names (name TEXT PRIMARY KEY) WITHOUT ROWID")
        entries = tally.entries_among(found, seen)
        while batch := list(islice(entries, BATCH)):
            tally.add(shelf.put_many(caller_id, catalogue_id, batch))
    return tally.summary()


class _Tally:
    """What is counted on the way."""

    def __init__(self) -> None:
        self._counts = Counts(0, 0, 0)
        self._unreadable = self._left_out = 0
        self._faults: list[ImportFault] = []

    def entries_among(
        self, found: Iterable[Entry | Unusable], seen: sqlite3.Connection
    ) -> Iterator[Entry]:
        """Yield the entries to keep, noting all that is wrong."""
        for one in found:
            if isinstance(one, Unusable):
                self._leave_out(one.row, one.external_id, one.message)
                continue
            statement = "INSERT OR IGNORE INTO names VALUES (?)"
            if not seen.execute(statement, (one.external_id,)).rowcount:
                message = "This recipe comes twice in the file; the first counts."
                self._leave_out(None, one.external_id, message)
                continue
            if one.unread:
                self._unreadable += 1
            for line in one.unread[:MOST_FAULTS]:
                self._note(None, one.external_id, line.line, line.message)
            yield one

    def add(self, batch: Counts) -> None:
        """Count what became of a batch."""
        self._counts = Counts(*(a + b for a, b in zip(self._counts, batch, strict=True)))

    def summary(self) -> ImportSummary:
        """Return what became of the file."""
        return ImportSummary(
            **self._counts._asdict(),
            unreadable=self._unreadable,
            left_out=self._left_out,
            faults=tuple(self._faults),
        )

    def _leave_out(self, row: int | None, external_id: str | None, message: str) -> None:
        self._left_out += 1
        self._note(row, external_id, None, message)

    def _note(
        self, row: int | None, external_id: str | None, line: int | None, message: str
    ) -> None:
        if len(self._faults) < MOST_FAULTS:
            fault = ImportFault(row=row, external_id=external_id, line=line, message=message)
            self._faults.append(fault)
