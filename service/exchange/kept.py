"""Entries in the store: onto the shelf and down again, and a run's results beside them."""

from collections.abc import Iterator, Sequence
from typing import Any

from models.run import ItemOutcome, RunItem
from service.exchange.entry import Entry, kept_entry
from service.exchange.findings import Finding, Findings, finding_of
from service.exchange.importing import Counts
from service.exchange.reformulated import reformulated
from service.reading.recipe_text import UnreadLine
from service.store.database import Database
from service.store.shelf import ShelfRow, each_row, each_run_row, names_by_title, put_rows


class StoredShelf:
    """The recipe shelf in a database."""

    def __init__(self, database: Database) -> None:
        """Stand in `database`."""
        self._database = database

    def put_many(self, caller_id: str, catalogue_id: str, entries: Sequence[Entry]) -> Counts:
        """Keep all `entries` in one transaction; raise NotThere for the catalogue."""
        rows = [_row_of(entry) for entry in entries]
        with self._database.writing() as connection:
            return Counts(*put_rows(connection, caller_id, catalogue_id, rows))

    def named_by_title(
        self, caller_id: str, catalogue_id: str, titles: Sequence[str]
    ) -> dict[str, list[str]]:
        """Return by title the names of the recipes there that came without an id."""
        with self._database.reading() as connection:
            return names_by_title(connection, caller_id, catalogue_id, titles)

    def each(self, caller_id: str, catalogue_id: str) -> Iterator[Entry]:
        """Yield every recipe of a catalogue, the oldest first; raise NotThere."""
        return map(entry_of_row, each_row(self._database, caller_id, catalogue_id))


def reformulated_entries(database: Database, run_id: str) -> Iterator[Entry]:
    """Yield every recipe that a run has done, with its new amounts where there are any."""
    for item, row in each_run_row(database, run_id):
        entry = entry_of_row(row)
        answer = RunItem.model_validate(item, strict=False).answer
        yield entry if answer is None else reformulated(entry, answer)


def findings(database: Database, run_id: str) -> Findings:
    """Return a way to go over what is to be said of the recipes that a run has done."""

    def go_over(outcome: ItemOutcome | None = None) -> Iterator[Finding]:
        for item, row in each_run_row(database, run_id, outcome):
            unread = (UnreadLine.model_validate(line) for line in row.unread)
            yield finding_of(RunItem.model_validate(item, strict=False), unread)

    return go_over


def entry_of_row(row: ShelfRow) -> Entry:
    """Return the entry that is kept in `row`; raise BadInput where it no longer reads."""
    if row.recipe is not None:
        return kept_entry(row.external_id, row.title, row.recipe, row.unread, row.extras)
    unread = tuple(UnreadLine.model_validate(line) for line in row.unread)
    return Entry(
        external_id=row.external_id, title=row.title, recipe=None, unread=unread, extras=row.extras
    )


def recipe_of_entry(entry: Entry) -> dict[str, Any] | None:
    """Return the recipe of `entry` as it is kept, None where it has none."""
    recipe = entry.recipe
    return None if recipe is None else recipe.model_dump(mode="json", exclude_defaults=True)


def _row_of(entry: Entry) -> ShelfRow:
    kept = entry.model_dump(mode="json", exclude={"recipe"})
    return ShelfRow(recipe=recipe_of_entry(entry), **kept)
