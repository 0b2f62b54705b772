"""Backups: one file that holds everything as it was at one moment, made while the service runs."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from service.store.database import Database


class CannotBackUp(Exception):
    """There is nothing to back up, or nowhere to put it; its text says what to do."""


def back_up(database: Database, file: Path) -> None:
    """Write a database file to `file`, which must not be there; raise CannotBackUp."""
    if not database.is_embedded or database.url.database is None:
        raise CannotBackUp(f"{database.address} is a server's; back it up with pg_dump.")
    original = Path(database.url.database)
    if not original.exists():
        raise CannotBackUp(f"There is no database at {original}.")
    if file.exists():
        raise CannotBackUp(f"{file} is there already; give another name.")
    unfinished = file.with_name(f"{file.name}.unfinished")
    try:
        unfinished.unlink(missing_ok=True)
        with closing(sqlite3.connect(original)) as connection:
            connection.execute("VACUUM INTO ?", (str(unfinished),))
        _sync(unfinished)  # the engine does not, and a backup that a power cut takes is none
        unfinished.rename(file)
        _sync(file.parent)
    except (OSError, sqlite3.Error) as error:
        raise CannotBackUp(f"{file} cannot be written: {error}.") from error


def _sync(path: Path) -> None:
    opened = os.open(path, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
