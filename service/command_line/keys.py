"""API keys on the command line: made and shown once, listed, revoked."""

from argparse import Namespace
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from typing import Any

from service.command_line.databases import add_database

MOST_CHARACTERS = 200


class NoSuchKey(Exception):
    """There is no key of that prefix to revoke, or no name to make one for; its text says so."""


def add_key_commands(commands: Any) -> None:
    """Add what can be done about keys."""
    keys = commands.add_parser("keys", help="make, list and revoke API keys")
    actions = keys.add_subparsers(dest="action", metavar="ACTION", required=True)
    create = actions.add_parser("create", help="make a key and show it once")
    create.add_argument("name", help="whose; the same name again gives another key to the same")
    create.add_argument(
        "--owns-everything",
        action="store_true",
        help="the key opens what was stored here without a key, on a machine of its own",
    )
    revoke = actions.add_parser("revoke", help="let a key open nothing from now on")
    revoke.add_argument("prefix", help="the eight characters after fh_")
    for action in (create, revoke, actions.add_parser("list", help="show whose keys there are")):
        add_database(action)


def tend_keys(given: Namespace) -> Iterator[str]:
    """Do what was asked about keys, and say it."""
    from service.migrations import upgrade
    from service.store.database import Database

    actions = {"create": _create, "list": _list, "revoke": _revoke}
    with closing(Database(given.database)) as database:
        upgrade(database)
        yield from actions[given.action](database, given)


def _create(database: Any, given: Namespace) -> Iterator[str]:
    from service.http.callers import issue_key
    from service.store.refusals import Taken

    if not given.name.isprintable() or not 0 < len(given.name) <= MOST_CHARACTERS:
        raise NoSuchKey(f"A name is 1 to {MOST_CHARACTERS} printable characters.")
    try:
        yield issue_key(database, given.name, owns_everything=given.owns_everything).text
    except Taken:
        message = f"{given.name} has a key and things of its own already; take another name."
        raise NoSuchKey(message) from None


def _list(database: Any, given: Namespace) -> Iterator[str]:
    from service.store.callers import list_keys

    with database.reading() as connection:
        keys = list_keys(connection)
    for key in keys:
        ended = f"revoked {_day(key.revoked_at)}" if key.revoked_at else "good"
        yield f"{key.prefix}  {_day(key.created_at)}  {ended:18}  {key.caller}"


def _revoke(database: Any, given: Namespace) -> Iterator[str]:
    from service.store.callers import revoke_key
    from service.store.refusals import NotThere

    prefix = given.prefix.removeprefix("fh_")[:8]
    try:
        with database.writing() as connection:
            revoke_key(connection, prefix)
    except NotThere:
        raise NoSuchKey(f"There is no good key {prefix}; `keys list` shows all.") from None
    yield f"{prefix} opens nothing any more."


def _day(moment: datetime) -> str:
    return moment.date().isoformat()
