"""Formats: how a file says what it is, who reads it and who writes it."""

from collections.abc import Callable, Iterable, Iterator
from typing import Literal, TypeAlias

from service.exchange.csv_catalogue import read_csv, write_csv
from service.exchange.entry import Entry, Unusable
from service.exchange.json_ld import read_json_ld, read_page, write_json_ld
from service.exchange.ndjson_catalogue import read_ndjson, write_ndjson

Reader: TypeAlias = Callable[[Iterable[bytes]], Iterator[Entry | Unusable]]
Writer: TypeAlias = Callable[[Iterable[Entry]], Iterator[str]]
ExportForm = Literal["ndjson", "csv", "json_ld"]

READERS: dict[str, Reader] = {
    "text/csv": read_csv,
    "application/x-ndjson": read_ndjson,
    "application/ld+json": read_json_ld,
    "text/html": read_page,
}
"""By media type."""

WRITERS: dict[ExportForm, Writer] = {
    "ndjson": write_ndjson,
    "csv": write_csv,
    "json_ld": write_json_ld,
}
MEDIA_TYPES: dict[ExportForm, str] = {
    "ndjson": "application/x-ndjson",
    "csv": "text/csv; charset=utf-8; header=present",
    "json_ld": "application/ld+json",
}
FILE_ENDINGS: dict[ExportForm, str] = {"ndjson": "ndjson", "csv": "csv", "json_ld": "jsonld"}
