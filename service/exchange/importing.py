"""Importing: a stream of entries onto a shelf, some hundreds to a transaction.

What stands there already under the same name gets a new version where it differs and none where it
does not, so a file may be sent again after whatever happened. Of a name that comes twice in one
file the first counts. Recipes without an id are found by `service.exchange.namesakes`.
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from itertools import islice
from typing import NamedTuple, Protocol

from models.value import Value
from service.exchange.entry import Entry, Unusable
from service.exchange.namesakes import take_namesakes, titles_to_match

BATCH = 500
MOST_FAULTS = 100

BY_TITLE = (
    "It has no id, so it was taken for the recipe of the same title and is its next version; "
    "give it an identifier if it is another."
)
WITHOUT_FLOUR = (
    "It has no flour, and every ratio is a share of the flour: it is kept, and runs leave it alone."
)


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

    def named_by_title(
        self, caller_id: str, catalogue_id: str, titles: Sequence[str]
    ) -> dict[str, list[str]]:
        """Return by title the names of the recipes there that came without an id."""
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
    not be read; `without_flour` those that are no dough, which runs leave alone; `by_title` those
    without an id that became the next version of the one under their title; `left_out` what was not
    kept at all. The first 100 faults are listed.
    """

    created: int = 0
    updated: int = 0
    unchanged: int = 0
    unreadable: int = 0
    without_flour: int = 0
    by_title: int = 0
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
            titles = titles_to_match(batch)
            if titles:
                standing = shelf.named_by_title(caller_id, catalogue_id, titles)
                batch = tally.with_namesakes(batch, standing, seen)
            tally.add(shelf.put_many(caller_id, catalogue_id, batch))
    return tally.summary()


def _note_name(seen: sqlite3.Connection, name: str) -> bool:
    """Note a name; tell whether it is new in this file."""
    return bool(seen.execute("INSERT OR IGNORE INTO names VALUES (?)", (name,)).rowcount)


class _Tally:
    """What is counted on the way."""

    def __init__(self) -> None:
        self._counts = Counts(0, 0, 0)
        self._unreadable = self._left_out = self._without_flour = self._by_title = 0
        self._exchanged: dict[str, str] = {}  # names that an edit took, and those it came with
        self._faults: list[ImportFault] = []

    def entries_among(
        self, found: Iterable[Entry | Unusable], seen: sqlite3.Connection
    ) -> Iterator[Entry]:
        """Yield the entries to keep, noting all that is wrong."""
        for one in found:
            if isinstance(one, Unusable):
                self._leave_out(one.row, one.external_id, one.message)
                continue
            if one.external_id in self._exchanged:  # its own name went to an edit before it
                name = self._exchanged.pop(one.external_id)
                one = one.model_copy(update={"external_id": name})
            elif not _note_name(seen, one.external_id):
                message = "This recipe comes twice in the file; the first counts."
                self._leave_out(None, one.external_id, message)
                continue
            if one.unread:
                self._unreadable += 1
            for line in one.unread[:MOST_FAULTS]:
                self._note(None, one.external_id, line.line, line.message)
            if one.recipe is not None and not one.unread and not one.recipe.has_flour:
                self._without_flour += 1
                self._note(None, one.external_id, None, WITHOUT_FLOUR)
            yield one

    def with_namesakes(
        self, batch: list[Entry], standing: dict[str, list[str]], seen: sqlite3.Connection
    ) -> list[Entry]:
        """Return `batch` with the edits of recipes without an id under the names that stand."""
        known = "SELECT 1 FROM names WHERE name = ?"
        named = take_namesakes(
            batch, standing, lambda name: seen.execute(known, (name,)).fetchone() is not None
        )
        for before, after in zip(batch, named, strict=True):
            if after is before:
                continue
            _note_name(seen, after.external_id)
            self._exchanged[after.external_id] = before.external_id
            self._by_title += 1
            self._note(None, after.external_id, None, BY_TITLE)
        return named

    def add(self, batch: Counts) -> None:
        """Count what became of a batch."""
        self._counts = Counts(*(a + b for a, b in zip(self._counts, batch, strict=True)))

    def summary(self) -> ImportSummary:
        """Return what became of the file."""
        return ImportSummary(
            **self._counts._asdict(),
            unreadable=self._unreadable,
            without_flour=self._without_flour,
            by_title=self._by_title,
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
