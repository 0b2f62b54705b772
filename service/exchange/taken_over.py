"""A run's changes taken over into the catalogue it went over, some hundreds to a transaction.

Sending it again takes over what is left: a recipe that stands as proposed stays as it is. Nothing
that was changed since the run began is overwritten.
"""

from collections import Counter
from collections.abc import Collection, Iterator
from itertools import islice

from models.errors import BadInput
from models.run import RunItem
from models.run_changes import FATES, MOST_LISTED, AppliedRecipe, AppliedRun, Fate
from service.exchange.kept import entry_of_row, recipe_of_entry
from service.exchange.reformulated import reformulated
from service.store.database import Database
from service.store.shelf import RunRow, each_run_row
from service.store.taking_over import Change, TakenOver, take_over

AT_ONCE = 200
_DONE: frozenset[Fate] = frozenset({"applied", "already_applied"})


def apply_run(
    database: Database, caller_id: str, run_id: str, chosen: Collection[str] | None
) -> AppliedRun:
    """Write what the run proposes for the recipes `chosen`, all where that is None."""
    tally = _Tally()
    rows = (
        one
        for one in each_run_row(database, run_id)
        if chosen is None or one.item["recipe_id"] in chosen
    )
    while page := list(islice(rows, AT_ONCE)):
        changes = [change for one in page if (change := _change(one)) is not None]
        tally.unmoved += len(page) - len(changes)
        with database.writing() as connection:
            tally.add(take_over(connection, caller_id, changes))
    return tally.told()


class _Tally:
    """What is counted on the way, and the first of each kind."""

    def __init__(self) -> None:
        self.unmoved = 0
        self._counts: Counter[Fate] = Counter()
        self._left: list[TakenOver] = []
        self._done: list[TakenOver] = []

    def add(self, fates: Iterator[TakenOver]) -> None:
        for one in fates:
            self._counts[one.fate] += 1
            kept = self._done if one.fate in _DONE else self._left
            if len(kept) < MOST_LISTED:
                kept.append(one)

    def told(self) -> AppliedRun:
        listed = [*self._left, *self._done][:MOST_LISTED]
        return AppliedRun(
            counts={fate: self._counts[fate] for fate in FATES},
            unmoved=self.unmoved,
            recipes=tuple(AppliedRecipe(**one._asdict()) for one in listed),
        )


def _change(one: RunRow) -> Change | None:
    """Return what the recipe is to be, None where nothing is proposed."""
    answer = RunItem.model_validate(one.item, strict=False).answer
    if answer is None or not any(line.moved for line in answer.lines):
        return None
    try:
        entry = entry_of_row(one.row)
    except BadInput:  # kept when another table of ingredients could read it
        return None
    after = reformulated(entry, answer)
    if after == entry:
        return None
    extras, unread = dict(after.extras), after.model_dump(mode="json")["unread"]
    row = one.row._replace(recipe=recipe_of_entry(after), extras=extras, unread=unread)
    return Change(one.item["recipe_id"], one.item["version"], row)
