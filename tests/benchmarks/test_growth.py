"""A shop that grows: very many recipes in, paged through, run over and out again, on PostgreSQL.

Solves are stubbed out: a run's items are kept as if each recipe stayed as it is. Prints recipes a
second and memory at each step, and whether any query goes over a large table without an index. Run
with `.venv/bin/python -m pytest -m benchmark -s tests/benchmarks/test_growth.py`; RECIPES sets how
many there are (20,000 unless told; 1,000,000 takes an hour).
"""

import json
import os
import time
from collections import Counter
from collections.abc import Iterator

import pytest
from sqlalchemy import event, text

from models.run import RunBrief
from service.exchange.importing import import_catalogue
from service.exchange.kept import StoredShelf
from service.exchange.ndjson_catalogue import read_ndjson, write_ndjson
from service.migrations import upgrade
from service.store.callers import SINGLE_USER, welcome_single_user
from service.store.catalogues import add_catalogue
from service.store.database import Database
from service.store.recipes import Sought, list_recipes
from service.store.run_items import Done, ItemResult, item_pages, keep_items, recipes_to_do
from service.store.runs import enter_run, find_run, finish_if_complete, lacking_chunks, mark_running
from tests.benchmarks.serving import load, memory_of
from tests.service.databases import fresh_database

RECIPES = int(os.environ.get("RECIPES", "20000"))
LARGE = ("recipes", "recipe_versions", "run_recipes", "run_items")

pytestmark = pytest.mark.benchmark


def lines() -> Iterator[bytes]:
    """Yield the shop's file as it streams in."""
    for number in range(RECIPES):
        cups = 2 + number % 97 / 4
        recipe = {
            "external_id": f"dough {number}",
            "title": f"Lantern dough {number}",
            "lines": [f"{cups} cups all-purpose flour", "1 cup unsalted butter", "1 egg"],
        }
        yield json.dumps(recipe).encode() + b"\n"


class Asked:
    """Every different statement that reads, each with what it was last given."""

    def __init__(self, database: Database) -> None:
        self.statements: dict[str, object] = {}
        event.listen(database.engine, "before_cursor_execute", self._note)

    def _note(self, _c: object, _cu: object, statement: str, given: object, *_: object) -> None:
        if statement.lstrip().startswith("SELECT"):
            self.statements[statement] = given

    def scans(self, database: Database) -> Counter[str]:
        """Return the large tables that are gone over without an index, and how often."""
        found: Counter[str] = Counter()
        statements = dict(self.statements)
        with database.engine.connect() as connection:
            connection.execute(text("ANALYZE"))
            for statement, given in statements.items():
                plan = connection.exec_driver_sql("EXPLAIN " + statement, given).scalars().all()
                for line in plan:
                    for table in LARGE:
                        if f"Seq Scan on {table} " in line + " ":
                            found[f"{table}: {' '.join(statement.split())[:150]}"] += 1
        return found


class Told:
    """Prints each step with its pace and the memory that it ends with."""

    def __init__(self) -> None:
        self._began = time.monotonic()

    def step(self, name: str) -> None:
        seconds, self._began = time.monotonic() - self._began, time.monotonic()
        memory = memory_of(os.getpid()) / 1e6
        print(f"{name}: {RECIPES / seconds:,.0f} recipes a second, {memory:.0f} MB ({load()})")


def page_through(database: Database, catalogue: str) -> int:
    count, after = 0, ""
    while True:
        with database.reading() as connection:
            page = list_recipes(connection, SINGLE_USER, Sought(catalogue_id=catalogue), after, 200)
        if not page:
            return count
        count, after = count + len(page), page[-1].id


def keep_book(database: Database, catalogue: str) -> str:
    brief = {"catalogue_id": catalogue, "window": {"flour_to_fat": {"min": 1}}}
    with database.writing() as connection:
        run_id, _ = enter_run(connection, SINGLE_USER, RunBrief.model_validate(brief))
        mark_running(connection, run_id)
        chunks = lacking_chunks(connection, run_id, RECIPES)
    for chunk in chunks:
        with database.writing() as connection:
            done = [
                Done.of(each.position, "unchanged", ItemResult())
                for each in recipes_to_do(connection, run_id, chunk.first, chunk.last)
            ]
            keep_items(connection, run_id, done)
    with database.writing() as connection:
        finish_if_complete(connection, run_id)
        assert find_run(connection, SINGLE_USER, run_id).done == RECIPES
    return run_id


def test_growth(tmp_path):
    print()
    with fresh_database("postgresql", tmp_path) as url:
        database = Database(url)
        upgrade(database)
        with database.writing() as connection:
            welcome_single_user(connection)
            catalogue = add_catalogue(connection, SINGLE_USER, "Wickhollow lantern-makers").id
        asked, told, shelf = Asked(database), Told(), StoredShelf(database)
        summary = import_catalogue(shelf, SINGLE_USER, catalogue, read_ndjson(lines()))
        assert summary.created == RECIPES
        told.step("import")
        assert page_through(database, catalogue) == RECIPES
        told.step("paging")
        run_id = keep_book(database, catalogue)
        told.step("a run's book-keeping, solves stubbed out")
        assert sum(len(page) for page in item_pages(database, run_id, -1, None)) == RECIPES
        told.step("items")
        size = sum(map(len, write_ndjson(shelf.each(SINGLE_USER, catalogue))))
        told.step(f"export, {size / 1e6:.0f} MB")
        scans = asked.scans(database)
        print(f"{len(asked.statements)} kinds of statement; without an index: {dict(scans)}")
        database.close()
