"""The settings of `serve` on the command line: an option for each, with its unit and default."""

import argparse
from dataclasses import dataclass
from typing import Any

from service.command_line.databases import add_database
from service.command_line.phrases import number
from service.settings import (
    KEYED_REQUESTS_PER_MINUTE,
    OPEN_REQUESTS_PER_MINUTE,
    Settings,
)


@dataclass(frozen=True)
class Option:
    """How one setting is told: its option, what it counts in, what it says of itself."""

    name: str
    unit: str
    help: str
    usual: str | None = None
    """The default in words, where that is no number."""


OPTIONS = {
    "host": Option("--host", "address", "where to listen; 0.0.0.0 is everywhere"),
    "port": Option("--port", "port", "which port; 0 is any free one"),
    "database_url": Option(
        "--database",
        "URL",
        "where to keep things; better in FORMHOLD_DATABASE where it holds a password",
    ),
    "single_user": Option(
        "--single-user",
        "yes or no",
        "ask for no API key (--no-single-user: ask for one)",
        "yes on the loopback",
    ),
    "open_requests_per_minute": Option(
        "--requests-per-minute",
        "requests",
        "of one address without a key; 0 is without limit",
        f"{OPEN_REQUESTS_PER_MINUTE}; 0 for a single user",
    ),
    "keyed_requests_per_minute": Option(
        "--keyed-requests-per-minute",
        "requests",
        "of one caller with a key; 0 is without limit",
        f"{KEYED_REQUESTS_PER_MINUTE}; 0 for a single user",
    ),
    "trusted_proxies": Option(
        "--trusted-proxies",
        "addresses",
        "proxies whose X-Forwarded-For is believed, with commas between; networks too",
    ),
    "notify_hosts": Option(
        "--notify-hosts",
        "hosts",
        "may be told of a run's end: names, *.names, and networks for private ones",
        "nobody",
    ),
    "processes": Option(
        "--processes", "processes", "how many answer; --workers are shared out among them"
    ),
    "workers": Option("--workers", "solves", "solves at a time, in all processes", "the cores"),
    "queue_length": Option(
        "--queue-length", "requests", "may wait for a worker; one more is answered 503"
    ),
    "solve_seconds": Option(
        "--solve-seconds", "seconds", "how long an answer may take, its wait included"
    ),
    "run_processes": Option(
        "--run-processes",
        "processes",
        "recipes of runs at a time; 0 leaves them to workers elsewhere",
        "the cores",
    ),
    "stalled_seconds": Option(
        "--stalled-seconds",
        "seconds",
        "how long a worker elsewhere may be silent before others do its work",
    ),
    "max_body_bytes": Option(
        "--max-body-bytes", "bytes", "the largest body; imports stream and have no limit"
    ),
    "body_seconds": Option("--body-seconds", "seconds", "how long a body may take to arrive"),
    "idle_seconds": Option(
        "--idle-seconds", "seconds", "how long a connection may go without a whole request"
    ),
    "max_connections": Option(
        "--max-connections", "connections", "open at a time, in each process; one more is a 503"
    ),
}
"""Every setting, in the order in which README tells of them."""

_COUNTS_FROM_ONE = {"processes", "workers"}


def add_settings(serve: argparse.ArgumentParser) -> None:
    """Give `serve` an option for every setting."""
    usual = Settings()
    for member, option in OPTIONS.items():
        default = getattr(usual, member)
        said = f"{option.help} ({option.usual or default})"
        given: dict[str, Any] = {"dest": member, "default": default, "help": said}
        if member == "database_url":
            add_database(serve)
        elif member == "single_user":
            serve.add_argument(option.name, action=argparse.BooleanOptionalAction, **given)
        elif isinstance(default, str):
            serve.add_argument(option.name, metavar=option.unit.upper(), **given)
        else:
            kind = number if isinstance(default, float) else int
            metavar = "S" if option.unit == "seconds" else "N"
            serve.add_argument(option.name, metavar=metavar, type=kind, **given)


def settings_of(given: argparse.Namespace) -> Settings:
    """Return the settings that were given."""
    told = {member: getattr(given, member) for member in OPTIONS if member != "database_url"}
    least = {
        member: int(member in _COUNTS_FROM_ONE)
        for member, value in told.items()
        if isinstance(value, int) and not isinstance(value, bool)
    }
    told |= {member: max(least[member], told[member]) for member in least}
    return Settings(database_url=given.database, **told)
