"""A shop in Wickhollow with as many recipes as a test needs: some hold, some must change, and some
cannot be read."""

import json
from collections.abc import Iterator
from contextlib import closing, contextmanager

from models.run import RunBrief
from service.exchange.entry import entry_of
from service.exchange.kept import StoredShelf
from service.migrations import upgrade
from service.runs.chunks import solve_recipe
from service.store.callers import SINGLE_USER, welcome_single_user
from service.store.catalogues import add_catalogue
from service.store.database import Database
from service.store.run_items import FrozenRecipe, items_after
from service.store.runs import enter_run

DOUGHS = 10
UNREADABLE_EVERY = 25
OUTCOMES = {"unchanged", "reformulated", "unreadable"}


def lines_of(number: int) -> list[str]:
    """Return the lines of a recipe; with butter to flour as they are, one dough in three holds."""
    if number % UNREADABLE_EVERY == UNREADABLE_EVERY - 1:
        return ["1 cup unsalted butter", "3 cups of lantern light"]
    cups = 2 + number % DOUGHS / 4
    return [f"{cups} cups all-purpose flour", "1 cup unsalted butter", "1/2 cup granulated sugar"]


def run_brief(catalogue_id: str, **more: object) -> RunBrief:
    """Return a brief that each recipe answers in some ten milliseconds."""
    brief = {
        "catalogue_id": catalogue_id,
        "window": {"flour_to_fat": {"min": 1.8}},
        "limits": {"keep": ["all-purpose flour", "molasses"]},
        **more,
    }
    return RunBrief.model_validate_json(json.dumps(brief))


def stock(database: Database, recipes: int) -> str:
    """Keep that many recipes in a catalogue of the single user's; return its identity."""
    with database.writing() as connection:
        welcome_single_user(connection)
        catalogue = add_catalogue(connection, SINGLE_USER, "Lantern doughs").id
    entries = [entry_of(f"dough {i}", f"Dough {i}", lines_of(i), {}) for i in range(recipes)]
    StoredShelf(database).put_many(SINGLE_USER, catalogue, entries)
    return catalogue


def enter(database: Database, brief: RunBrief) -> str:
    """Enter a run of the single user's; return its identity."""
    with database.writing() as connection:
        return enter_run(connection, SINGLE_USER, brief)[0]


@contextmanager
def shop_with_run(url: str, recipes: int) -> Iterator[tuple[Database, str]]:
    """Yield a database with a run over that many recipes, which nobody works on yet."""
    with closing(Database(url)) as database:
        upgrade(database)
        yield database, enter(database, run_brief(stock(database, recipes)))


def items_of(database: Database, run_id: str) -> list[dict]:
    """Return every item of a run."""
    with database.reading() as connection:
        return items_after(connection, run_id, -1, None, 1_000_000)


def undisturbed(number: int) -> tuple[str, dict]:
    """Return what comes of a recipe where nothing disturbs it: solved here and now."""
    entry = entry_of(None, None, lines_of(number), {})
    recipe = None if entry.recipe is None else entry.recipe.model_dump(mode="json")
    unread = [line.model_dump() for line in entry.unread]
    done = solve_recipe(run_brief("any"), FrozenRecipe(0, recipe, unread), 60)
    return done.outcome, done.result.model_dump(mode="json", by_alias=True)


def assert_complete(database: Database, run_id: str, recipes: int) -> None:
    """Check that every recipe has one item, the same as if nothing had happened."""
    items = items_of(database, run_id)
    assert [item["position"] for item in items] == list(range(recipes))
    expected: dict[tuple[str, ...], tuple[str, dict]] = {}
    for item in items:
        number = int(item["external_id"].removeprefix("dough "))
        kind = tuple(lines_of(number))
        if kind not in expected:
            expected[kind] = undisturbed(number)
        outcome, result = expected[kind]
        assert (item["outcome"], {name: item[name] for name in result}) == (outcome, result)
    assert {item["outcome"] for item in items} == OUTCOMES
