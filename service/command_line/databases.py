"""The database on the command line: brought up to date, backed up, moved."""

import os
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from service.settings import DEFAULT_DATABASE_URL


def add_database(command: ArgumentParser, option: str = "--database") -> None:
    """Let a command take a database's address."""
    command.add_argument(
        option,
        dest="database",
        metavar="URL",
        default=os.environ.get("FORMHOLD_DATABASE", DEFAULT_DATABASE_URL),
        help="where to keep things; better in FORMHOLD_DATABASE where it holds a password",
    )


def add_database_commands(commands: Any) -> None:
    """Add what can be done to a database."""
    migrate = commands.add_parser("migrate", help="bring the database up to date, as serve does")
    add_database(migrate)
    backup = commands.add_parser("backup", help="copy the database file while the service runs")
    backup.add_argument("file", type=Path, help="a file that is not there yet")
    add_database(backup)
    move = commands.add_parser(
        "migrate-database",
        help="copy everything into an empty database",
        description="Stop the service first. Everything is copied and compared, or nothing is.",
    )
    move.add_argument("--from", dest="source", metavar="URL", required=True, help="the old one")
    add_database(move, "--to")


def migrate(given: Namespace) -> Iterator[str]:
    """Bring the database up to date."""
    from service.migrations import upgrade
    from service.store.database import Database

    database = Database(given.database)
    upgrade(database)
    if not database.is_embedded:
        from service.runs.postgres import prepare_queue

        prepare_queue(database)
    yield f"The database at {database.address} is up to date."


def back_up(given: Namespace) -> Iterator[str]:
    """Copy the database file."""
    from service.store import backups
    from service.store.database import Database

    backups.back_up(Database(given.database), given.file)
    yield f"Everything is in {given.file}; to restore, stop the service and serve from a copy."


def move_database(given: Namespace) -> Iterator[str]:
    """Copy everything from one database into another, and say what was compared."""
    from service.migrations import upgrade
    from service.store.database import Database
    from service.store.moving import CannotMove, TableCopied, copy_database

    copied: list[TableCopied] = []
    with closing(Database(given.source)) as source, closing(Database(given.database)) as target:
        if source.is_embedded and not Path(source.url.database or "").exists():
            raise CannotMove(f"There is no database at {source.address}.")
        upgrade(source)
        upgrade(target)
        copy_database(source, target, copied.append)
    for table in copied:
        yield f"{table.rows:9,}  {table.name}"
    yield f"All of it is in {target.address}, compared row by row; serve from there now."
