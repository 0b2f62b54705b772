"""A chunk of a run: its recipes solved one after the other, and what came of each kept.

Every engine calls `run_chunk`, as often as it likes: a recipe that has its item is not solved
again, and of two who solve the same one, the first to write counts.
"""

import logging
import time
from collections.abc import Callable, Iterator

from pydantic import ValidationError

from models.errors import BadInput, Fault, pointer
from models.recipe import Recipe
from models.run import ItemResult, RunBrief
from service.deadline import Deadline
from service.store.database import Database
from service.store.run_items import Done, FrozenRecipe, keep_items, recipes_to_do
from service.store.runs import Chunk, brief_to_run, finish_if_complete, is_open, mark_running
from solver.reformulate import reformulate

KEPT_TOGETHER = 50
"""Recipes to a transaction: each costs a sync of the disk."""
KEPT_EVERY_SECONDS = 0.5
"""A transaction comes at least this often, so that little is lost to whatever happens."""
LOOKED_UP_EVERY_SECONDS = 0.5
"""How soon a cancelled run stops; no sooner than the recipe at work is done."""

log = logging.getLogger("formhold.runs")


def never() -> bool:
    """Go on to the end."""
    return False


def run_chunk(
    database: Database,
    chunk: Chunk,
    solve_seconds: float,
    is_stopping: Callable[[], bool] = never,
) -> None:
    """Solve the recipes of `chunk` that have no item yet, each within `solve_seconds`.

    Stops early, with what is done kept, where the run is cancelled or `is_stopping` says so.
    Raises DatabaseUnusable.
    """
    with database.writing() as connection:
        mark_running(connection, chunk.run_id)
        brief = brief_to_run(connection, chunk.run_id)
        to_do = recipes_to_do(connection, *chunk)
    if brief is None:
        return
    waiting: list[Done] = []
    kept_at = time.monotonic()
    for done in _solved(database, chunk, brief, to_do, solve_seconds, is_stopping):
        waiting.append(done)
        if len(waiting) == KEPT_TOGETHER or time.monotonic() - kept_at >= KEPT_EVERY_SECONDS:
            _keep(database, chunk.run_id, waiting)
            waiting, kept_at = [], time.monotonic()
    _keep(database, chunk.run_id, waiting)
    with database.writing() as connection:  # apart: it must see what others have kept meanwhile
        finish_if_complete(connection, chunk.run_id)


def give_up_on(database: Database, chunk: Chunk) -> None:
    """Note that no answer can be had for what is left of `chunk`: processes died over it."""
    message = "ended the process that worked on it, twice; the log of the service has more"
    result = ItemResult(faults=(Fault(pointer="", message=message),))
    with database.reading() as connection:
        to_do = recipes_to_do(connection, *chunk)
    _keep(database, chunk.run_id, [Done.of(one.position, "failed", result) for one in to_do])


def solve_recipe(brief: RunBrief, frozen: FrozenRecipe, solve_seconds: float) -> Done:
    """Return what comes of one recipe, whatever that is."""
    try:
        if frozen.recipe is None:
            return Done.of(frozen.position, "unreadable", ItemResult(faults=_unread(frozen)))
        recipe = Recipe.model_validate(frozen.recipe, strict=False)
        about, left_out = brief.brief_for(recipe)
        answer = reformulate(about, Deadline(solve_seconds))
        return Done.of(
            frozen.position, answer.outcome, ItemResult(answer=answer, left_out=left_out)
        )
    except (BadInput, ValidationError) as bad:
        faults = bad.faults if isinstance(bad, BadInput) else BadInput.of(bad).faults
        return Done.of(frozen.position, "unreadable", ItemResult(faults=faults))
    except Exception:  # whatever it was: it is this recipe's, and the others go on
        log.exception("the recipe at position %d of a run failed", frozen.position)
        fault = Fault(pointer="", message="failed on our side; the log of the service has more")
        return Done.of(frozen.position, "failed", ItemResult(faults=(fault,)))


def _solved(
    database: Database,
    chunk: Chunk,
    brief: RunBrief,
    to_do: list[FrozenRecipe],
    solve_seconds: float,
    is_stopping: Callable[[], bool],
) -> Iterator[Done]:
    """Yield what comes of each recipe for as long as the run is to go on."""
    looked_at = time.monotonic()
    for frozen in to_do:
        if is_stopping():
            return
        if time.monotonic() - looked_at >= LOOKED_UP_EVERY_SECONDS:
            with database.reading() as connection:
                if not is_open(connection, chunk.run_id):
                    return
            looked_at = time.monotonic()
        yield solve_recipe(brief, frozen, solve_seconds)


def _keep(database: Database, run_id: str, done: list[Done]) -> None:
    with database.writing() as connection:
        keep_items(connection, run_id, done)


def _unread(frozen: FrozenRecipe) -> tuple[Fault, ...]:
    """Return the lines that could not be read when the recipe came in, as faults of it."""
    return tuple(
        Fault(pointer=pointer(("lines", line["line"] - 1)), message=_said(line))
        for line in frozen.unread
    )


def _said(line: dict[str, str]) -> str:
    return f"{line['text']!r}: {line['message']}" if line["text"] else line["message"]
