"""Every item of a run as one long answer: NDJSON, which loses nothing, or CSV for a spreadsheet.

Written page by page, so that a catalogue of any size takes the memory of one page.
"""

import csv
import io
import json
from collections.abc import Iterable, Iterator
from typing import Any

from service.exchange.csv_cells import defuse

NDJSON, CSV = "application/x-ndjson", "text/csv"

COLUMNS = (
    "position",
    "recipe_id",
    "version",
    "external_id",
    "title",
    "outcome",
    "cost",
    "moved",
    "conflicts",
    "left_out",
    "faults",
)

Items = Iterable[list[dict[str, Any]]]


def as_ndjson(pages: Items) -> Iterator[bytes]:
    """Yield each page as lines of JSON."""
    for page in pages:
        yield b"".join(json.dumps(item, ensure_ascii=False).encode() + b"\n" for item in page)


def as_csv(pages: Items) -> Iterator[bytes]:
    """Yield a line of headings, then each page as lines of CSV."""
    yield _lines([list(COLUMNS)])
    for page in pages:
        yield _lines([[_cell(value) for value in _row(item)] for item in page])


def _row(item: dict[str, Any]) -> list[object]:
    answer = item["answer"] or {}
    moved = (
        f"{line['ingredient']}: {line['before']['measure']} to {line['after']['measure']}"
        for line in answer.get("lines", ())
        if line["moved"]
    )
    return [
        *(item[column] for column in COLUMNS[:6]),
        (answer.get("cost") or {}).get("total"),
        "; ".join(moved),
        "; ".join(conflict["message"] for conflict in answer.get("conflicts", ())),
        "; ".join(f"{one['limit']}: {one['message']}" for one in item["left_out"]),
        "; ".join(f"{one['pointer']} {one['message']}".strip() for one in item["faults"]),
    ]


def _cell(value: object) -> str:
    return defuse(value) if isinstance(value, str) else "" if value is None else str(value)


def _lines(rows: list[list[str]]) -> bytes:
    written = io.StringIO()
    csv.writer(written, quoting=csv.QUOTE_ALL).writerows(rows)
    return written.getvalue().encode()
