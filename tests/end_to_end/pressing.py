"""Pressing on a service by its own document: schemathesis against a real server with a key."""

import re
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from service.http.callers import issue_key
from service.store.database import Database
from tests.end_to_end.conftest import Server

CONFIG = Path(__file__).parent / "schemathesis.toml"
ROOT = Path(__file__).parents[2]


class Pressed(NamedTuple):
    """What came of it: whether all was as documented, how many requests, and what is said."""

    holds: bool
    requests: int
    said: str


def keyed_command(database: str) -> list[str]:
    """Return how a service is started that asks for a key, in which nobody waits long."""
    command = [sys.executable, "-m", "service", "serve", "--port", "0", "--database", database]
    unlimited = ["--requests-per-minute", "0", "--keyed-requests-per-minute", "0"]
    small = ["--workers", "2", "--run-processes", "1", "--solve-seconds", "1"]
    return [*command, *unlimited, "--no-single-user", *small]


def press(server: Server, database: str, *options: str, seconds: float) -> Pressed:
    """Send what schemathesis makes of the document; take `seconds` at most."""
    with closing(Database(database)) as kept:
        key = issue_key(kept, "tester").text
    command = [sys.executable, "-m", "schemathesis.cli", "--config-file", str(CONFIG), "run"]
    asked = [f"{server.url}/openapi.json", "-H", f"Authorization: Bearer {key}", *options]
    done = subprocess.run(
        [*command, *asked], cwd=ROOT, capture_output=True, text=True, timeout=seconds, check=False
    )
    counted = re.search(r"(\d+) generated", done.stdout)
    requests = int(counted[1]) if counted else 0
    return Pressed(done.returncode == 0, requests, done.stdout + done.stderr)
