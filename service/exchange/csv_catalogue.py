"""A catalogue as CSV: one row for each line of a recipe, for people with a spreadsheet.

A line is `line` (text), or `ingredient`, `quantity` and `unit`; `kept` holds, on a recipe's first
row and as JSON, what has no column. Columns of the file's own are kept, and come out again as
columns where the first recipe has them, else under `kept`. The rows of a recipe stand together. A
recipe with a row that cannot be used is left out whole, and so are both neighbours of a row that
could belong to either: a recipe that lacks a line is another recipe.
"""

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import chain, islice
from typing import Any

from models.errors import BadInput, Fault, FormholdError
from service.exchange.byte_lines import MOST_BYTES, byte_lines
from service.exchange.csv_cells import defuse, restore
from service.exchange.csv_rows import CsvRow, csv_rows
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
from service.reading.schema_org import Written, words_of
from service.reading.strict_json import read_json

COLUMNS = ("recipe", "title", "line", "ingredient", "quantity", "unit", "kept")
MEASURED = COLUMNS[3:6]
OWN_COLUMNS = "columns"
"""The member of `extras` that holds columns of the file's own: by name, a cell a line."""
DELIMITERS = (",", ";")
BYTE_ORDER_MARK = "\ufeff"  # by it spreadsheets know UTF-8
MOST_ROWS = 2000

_NUMBER = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,400})?")
_COMMA_NUMBER = re.compile(r"[0-9]{1,9},[0-9]{1,400}")


def read_csv(chunks: Iterable[bytes]) -> Iterator[Entry | Unusable]:
    """Yield the recipes of a file; raise BadInput where its first row does not name columns."""
    lines = byte_lines(chunks)
    header = next(lines, None)
    names, delimiter = _columns("" if header is None else header.content.decode(errors="replace"))
    gathering: _Gathering | None = None
    broken: CsvRow | None = None
    for row in csv_rows(lines, delimiter):
        cells = _Cells(row, names, delimiter)
        if row.fault or cells.fault:
            broken = row._replace(fault=row.fault or cells.fault)
            yield Unusable(row=row.number, message=broken.fault)
            if gathering:
                gathering.spoil(broken)
            continue
        if gathering is None or gathering.name != cells.recipe:
            if gathering:
                yield gathering.entry()
            gathering = _Gathering(cells.recipe)
            if broken:
                gathering.spoil(broken)
        broken = None
        gathering.add(cells)
    if gathering:
        yield gathering.entry()


def write_csv(entries: Iterable[Entry]) -> Iterator[str]:
    """Yield the rows of `entries`, every cell in quotes and none a formula."""
    waiting = iter(entries)
    first = list(islice(waiting, 1))
    own = tuple(_own_columns(first[0])) if first else ()
    rows = (row for entry in chain(first, waiting) for row in _rows_of(entry, own))
    yield BYTE_ORDER_MARK
    yield from csv_text(chain([(*COLUMNS, *own)], rows))


def csv_text(rows: Iterable[Iterable[str]]) -> Iterator[str]:
    """Yield each of `rows` as a row of CSV."""
    text = io.StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_ALL)
    for row in rows:
        writer.writerow([defuse(cell) for cell in row])
        yield text.getvalue()
        text.seek(0)
        text.truncate()


def _columns(header: str) -> tuple[list[str], str]:
    """Return the names of the columns, and what stands between cells."""
    found: dict[str, list[str]] = {}
    for delimiter in DELIMITERS:
        cells = next(csv.reader([header.removeprefix(BYTE_ORDER_MARK)], delimiter=delimiter), [])
        found[delimiter] = [cell.strip().casefold() for cell in cells]
    delimiter = max(DELIMITERS, key=lambda each: len(set(found[each]) & set(COLUMNS)))
    names = found[delimiter]
    if "recipe" not in names or not ("line" in names or set(MEASURED) <= set(names)):
        raise _refused(
            "begins with no row that names the columns: recipe, and line or ingredient, quantity "
            "and unit; title and kept may be there too. Write UTF-8, with commas or semicolons"
        )
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        shown = ", ".join(dict.fromkeys(repr(name[:40]) for name in twice))
        raise _refused(f"has columns that are there twice or have no name: {shown}; rename them")
    return names, delimiter


def _refused(message: str) -> BadInput:
    return BadInput([Fault(pointer="", message=message)])


class _Cells:
    """What one row says, by column."""

    def __init__(self, row: CsvRow, names: list[str], delimiter: str) -> None:
        self.number = row.number
        self._given = dict(zip(names, map(restore, row.cells), strict=False))
        self._comma = delimiter == ";"
        self.fault = ""
        if len(row.cells) > len(names):
            self.fault = f"The row has {len(row.cells)} cells, and the first row {len(names)}."
        elif not self.recipe.strip():
            self.fault = "The row does not say which recipe it belongs to."

    @property
    def recipe(self) -> str:
        return self._given.get("recipe", "")

    @property
    def title(self) -> str:
        return self._given.get("title", "")

    @property
    def kept(self) -> str:
        return self._given.get("kept", "")

    @property
    def characters(self) -> int:
        return sum(map(len, self._given.values()))

    @property
    def own(self) -> dict[str, str]:
        """What stands in columns of the file's own."""
        return {name: cell for name, cell in self._given.items() if name not in COLUMNS and cell}

    def written(self) -> Written | None:
        """Return the line that the row holds, or None where it holds none."""
        text = self._given.get("line", "")
        if text:
            return text
        ingredient, quantity, unit = (self._given.get(name, "") for name in MEASURED)
        if not ingredient and not quantity and not unit:
            return None
        return {"ingredient": ingredient, "quantity": self._number(quantity), "unit": unit}

    def _number(self, cell: str) -> float | str:
        plain = cell.strip()
        if self._comma and _COMMA_NUMBER.fullmatch(plain):
            plain = plain.replace(",", ".")
        return float(plain) if _NUMBER.fullmatch(plain) else cell


class _Gathering:
    """One recipe while its rows come in."""

    def __init__(self, name: str) -> None:
        self.name = name
        self._title = ""
        self._kept = ""
        self._written: list[Written] = []
        self._own: dict[str, dict[int, str]] = {}
        self._first = 0
        self._rows = 0
        self._characters = 0
        self._fault: Unusable | None = None

    def add(self, cells: _Cells) -> None:
        """Take a row of this recipe."""
        self._first = self._first or cells.number
        self._rows += 1
        self._characters += cells.characters
        if self._rows > MOST_ROWS or self._characters > MOST_BYTES:
            self._spoil(cells.number, f"has more than {MOST_ROWS:,} rows or 1 MB")
            return
        if cells.title and self._title and cells.title != self._title:
            self._spoil(cells.number, "has another title here than above")
        if cells.kept and self._kept:
            self._spoil(cells.number, 'has a second cell under "kept"')
        self._title, self._kept = self._title or cells.title, self._kept or cells.kept
        for name, cell in cells.own.items():
            self._own.setdefault(name, {})[len(self._written)] = cell
        written = cells.written()
        if written is not None:
            self._written.append(written)

    def spoil(self, broken: CsvRow) -> None:
        """Give this recipe up for a row beside it that may be its own."""
        self._spoil(broken.number, f"may lack row {broken.number}, which cannot be read")

    def entry(self) -> Entry | Unusable:
        """Return the recipe."""
        if self._fault:
            return self._fault
        try:
            extras = _extras(self._kept, self._written)
            if self._own:
                extras[OWN_COLUMNS] = self._own_columns(extras.get(OWN_COLUMNS))
            return entry_of(self.name, self._title, extras.get(LINES, self._written), extras)
        except FormholdError as wrong:
            faults = wrong.faults if isinstance(wrong, BadInput) else [_fault(str(wrong))]
            return left_out(self._first, self.name[:300], faults)

    def _own_columns(self, kept: Any) -> dict[str, Any]:
        """Return each column of the file's own, a cell a line, beside those that were kept."""
        cells = {
            name: [by_line.get(at, "") for at in range(max(by_line) + 1)]
            for name, by_line in self._own.items()
        }
        return {**(kept if isinstance(kept, dict) else {}), **cells}

    def _spoil(self, row: int, reason: str) -> None:
        message = f"The recipe {reason}; it is left out whole."
        self._fault = self._fault or Unusable(row=row, external_id=self.name[:300], message=message)
        self._written = []


def _fault(message: str) -> Fault:
    return Fault(pointer="kept", message=message)


def _extras(kept: str, written: list[Written]) -> dict[str, Any]:
    """Return what was kept, with the lines as they first were unless they were edited since."""
    if not kept:
        return {}
    extras, odd = read_json(kept.encode())
    if odd:
        raise BadInput(odd)
    if not isinstance(extras, dict):
        raise BadInput([_fault("must be a JSON object")])
    first = extras.pop(LINES, None)
    if isinstance(first, list) and [words_of(x) for x in first] == [words_of(x) for x in written]:
        extras[LINES] = first
    return dict(extras)


def _own_columns(entry: Entry) -> dict[str, list[str]]:
    """Return the columns of `entry` that a file can hold as columns."""
    kept = entry.extras.get(OWN_COLUMNS)
    return {
        name: cells
        for name, cells in (kept.items() if isinstance(kept, dict) else ())
        if name == name.strip().casefold()
        and name not in COLUMNS
        and _is_one_line(name)
        and isinstance(cells, list)
        and cells
        and all(isinstance(cell, str) and "\0" not in cell for cell in cells)
        and cells[-1]
    }


def _is_one_line(name: str) -> bool:
    return bool(name) and name.isprintable()


def _rows_of(entry: Entry, own: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Yield the rows of `entry`; `own` are the file's own columns."""
    written = written_lines(entry)
    columns = {name: cells for name, cells in _own_columns(entry).items() if name in own}
    kept = _kept_of(entry, columns)
    if any(not _has_columns(line) for line in written):
        kept[LINES] = written
    cell = json.dumps(kept, ensure_ascii=False) if kept else ""
    rows = max(1, len(written), *map(len, columns.values()))
    for at in range(rows):
        more = (columns[x][at] if at < len(columns.get(x, ())) else "" for x in own)
        line = written[at] if at < len(written) else ""
        yield (entry.external_id, entry.title or "", *_line_cells(line), cell, *more)
        cell = ""


def _kept_of(entry: Entry, columns: dict[str, list[str]]) -> dict[str, Any]:
    """Return what of `entry` neither its lines nor `columns` hold."""
    kept = {name: value for name, value in entry.extras.items() if name != LINES}
    own = own_ingredients(entry)
    if own:
        kept[INGREDIENTS] = own
    if columns:
        rest = {n: cells for n, cells in kept.pop(OWN_COLUMNS).items() if n not in columns}
        if rest:
            kept[OWN_COLUMNS] = rest
    return kept


def _line_cells(line: Written) -> tuple[str, str, str, str]:
    if not isinstance(line, str) and _has_columns(line):
        return ("", str(line["ingredient"]), _shown(line["quantity"]), str(line["unit"]))
    return (line if isinstance(line, str) else words_of(line), "", "", "")


def _has_columns(line: Written) -> bool:
    """Tell whether the columns can hold `line` and give it back."""
    if isinstance(line, str):
        return "\0" not in line
    if set(line) != set(MEASURED) or not all(
        isinstance(line[x], str) for x in ("ingredient", "unit")
    ):
        return False
    quantity = line["quantity"]
    if isinstance(quantity, str):
        return bool(line["ingredient"] or quantity or line["unit"]) and not _NUMBER.fullmatch(
            quantity.strip()
        )
    return type(quantity) in {int, float} and _NUMBER.fullmatch(_shown(quantity)) is not None


def _shown(quantity: Any) -> str:
    """Return a number in figures alone, so that it reads back as itself."""
    if isinstance(quantity, str):
        return quantity
    return f"{Decimal(repr(float(quantity))):f}".removesuffix(".0")
