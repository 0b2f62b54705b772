"""What a run costs, beside a bare pool of processes that solves the same recipes in the same run.

Prints; asserts nothing about time. Run with `make bench`; RUN_RECIPES sets how many recipes are
generated (400 unless told), on as many cores as there are, two at most.
"""

import json
import multiprocessing
import os
import time
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from models.recipe import Recipe
from models.run import RunBrief
from service.exchange.entry import Entry
from service.exchange.kept import StoredShelf
from service.migrations import upgrade
from service.settings import cores
from service.store.callers import SINGLE_USER, welcome_single_user
from service.store.catalogues import add_catalogue
from service.store.database import Database
from service.store.runs import find_run
from solver.reformulate import reformulate
from tests.end_to_end.test_runs_survive import serving, started, working
from tests.generated_recipes import generated_recipe
from tests.service.databases import fresh_database
from tests.service.runs.shop import enter

RECIPES = int(os.environ.get("RUN_RECIPES", "400"))
PROCESSES = min(2, cores())
BRIEF = {
    "window": {"flour_to_fat": {"min": 2.1, "max": 2.6}, "soda_equivalent_percent": {"max": 1.2}},
    "limits": {"max_flour_change_percent": 15, "keep": ["molasses"]},
}

pytestmark = pytest.mark.benchmark


def recipe_of(seed: int) -> Recipe:
    return Recipe.model_validate_json(json.dumps(generated_recipe(seed)))


def brief_over(catalogue: str) -> RunBrief:
    return RunBrief.model_validate_json(json.dumps({"catalogue_id": catalogue, **BRIEF}))


def solve(seed: int) -> None:
    reformulate(brief_over("any").brief_for(recipe_of(seed))[0])


def bare_rate() -> float:
    """Return recipes a second of a pool of processes that does nothing but solve."""
    context = multiprocessing.get_context("forkserver")
    with ProcessPoolExecutor(PROCESSES, mp_context=context) as pool:
        list(pool.map(solve, range(PROCESSES * 2)))  # what is read once is read
        began = time.monotonic()
        list(pool.map(solve, range(RECIPES), chunksize=10))
        return RECIPES / (time.monotonic() - began)


def enter_all(database: Database) -> str:
    upgrade(database)
    with database.writing() as connection:
        welcome_single_user(connection)
        catalogue = add_catalogue(connection, SINGLE_USER, "Lantern doughs").id
    shelf = StoredShelf(database)
    for first in range(0, RECIPES, 500):
        seeds = range(first, min(RECIPES, first + 500))
        entries = [_entry(seed) for seed in seeds]
        shelf.put_many(SINGLE_USER, catalogue, entries)
    return enter(database, brief_over(catalogue))


def _entry(seed: int) -> Entry:
    recipe = recipe_of(seed)
    return Entry(
        external_id=f"dough {seed}", title=recipe.title, recipe=recipe, unread=(), extras={}
    )


def megabytes(pid: int) -> float:
    """Return the resident memory of a process."""
    status = Path(f"/proc/{pid}/status").read_text()
    return int(status.split("VmRSS:")[1].split()[0]) / 1024


def run_rate(database: Database, run_id: str, service: int) -> tuple[float, list[float]]:
    """Return recipes a second from the first chunk to the last, and the service's memory."""
    memory = []
    while True:
        with database.reading() as connection:
            run = find_run(connection, SINGLE_USER, run_id)
        if run.is_over:
            assert run.outcomes["failed"] == 0
            return RECIPES / (run.finished_at - run.started_at).total_seconds(), memory
        if run.state == "running":
            memory.append(megabytes(service))
        time.sleep(0.5)


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_runs_beside_a_bare_pool(kind, tmp_path):
    """Embedded, and with a worker for each core on PostgreSQL; recipes a second and memory."""
    bare = bare_rate()
    with fresh_database(kind, tmp_path) as url, closing(Database(url)) as database:
        run_id = enter_all(database)
        own = PROCESSES if kind == "sqlite" else 0
        with ExitStack() as stack:
            if kind == "postgresql":
                for _ in range(PROCESSES):
                    stack.enter_context(started(tmp_path, *working(url)))
            serve = serving(url, "--run-processes", str(own))
            service = stack.enter_context(started(tmp_path, *serve))
            rate, memory = run_rate(database, run_id, service.pid)
    print(f"\n{kind}: {RECIPES} recipes, {rate:.2f} a second, {rate / PROCESSES:.2f} a core")
    print(f"bare pool {bare:.2f} a second; ratio {rate / bare:.2f}")
    print(f"service: {memory[0]:.0f} MB first, {memory[-1]:.0f} MB last, {max(memory):.0f} MB most")
