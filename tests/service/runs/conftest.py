"""Runs over small shops, on SQLite and on PostgreSQL."""

import pytest

from tests.service.databases import database, database_url  # noqa: F401
from tests.service.runs.shop import enter, run_brief, stock

RECIPES = 60


@pytest.fixture
def run_id(database):  # noqa: F811
    """A run over sixty recipes that nobody works on yet."""
    return enter(database, run_brief(stock(database, RECIPES)))
