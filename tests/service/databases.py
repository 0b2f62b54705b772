"""A fresh database for a test: a SQLite file, and one of its own on PostgreSQL where that answers.

PostgreSQL is looked for on this machine. Without it those tests are skipped and say so, unless
FORMHOLD_REQUIRE_POSTGRES=1 makes its absence a failure.
"""

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

from service.migrations import upgrade
from service.store.database import Database

SERVER = "postgres@127.0.0.1:5432"
KINDS = ("sqlite", "postgresql")


@contextmanager
def fresh_database(kind: str, folder: Path) -> Iterator[str]:
    """Yield the address of an empty database, and drop it afterwards."""
    if kind == "sqlite":
        yield f"sqlite:///{folder}/{uuid.uuid4().hex}.sqlite3"
        return
    name = f"formhold_{uuid.uuid4().hex}"
    with _server() as server:
        server.execute(f"CREATE DATABASE {name}")
    try:
        yield f"postgresql+psycopg://{SERVER}/{name}"
    finally:
        with _server() as server:  # anew: a test may have restarted it
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


@contextmanager
def _server() -> Iterator["psycopg.Connection[tuple[object, ...]]"]:
    try:
        server = psycopg.connect(f"postgresql://{SERVER}/test", autocommit=True, connect_timeout=3)
    except psycopg.OperationalError as error:
        if os.environ.get("FORMHOLD_REQUIRE_POSTGRES") == "1":
            raise
        pytest.skip(f"no PostgreSQL at {SERVER}: {error}")
    with server:
        yield server


@pytest.fixture(params=KINDS)
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty database, on SQLite and on PostgreSQL."""
    with fresh_database(request.param, tmp_path) as url:
        yield url


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    """A database with its tables and nothing in them."""
    made = Database(database_url)
    upgrade(made)
    yield made
    made.close()
