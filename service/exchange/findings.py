"""Findings: what a shop owner wants to know of each recipe of a run, and of all of them together.

They are taken from a run's items (`models.run`); how they are put on paper is
`service.exchange.change_report`.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from models.errors import Fault
from models.outcome import Conflict, OutcomeLine
from models.run import ITEM_OUTCOMES, RunItem
from service.reading.recipe_text import UnreadLine

OUTCOME_WORDS = {
    "reformulated": "changed",
    "unchanged": "nothing to change",
    "infeasible": "no change will do",
    "unfinished": "time ran out; the best found so far",
    "unreadable": "could not be read",
    "failed": "failed on our side",
}

MOST_NAMES = 10_000
"""Ingredients that are told apart in the totals: more than there are, unless callers name them."""


class Move(NamedTuple):
    """A line that changed: from what to what, by how much, and why."""

    ingredient: str
    before: str
    after: str
    before_grams: float
    after_grams: float
    percent: float | None
    reason: str

    @property
    def change(self) -> str:
        """By how much it changed, in words."""
        return "new" if self.percent is None else f"{self.percent:+.1f} %"


class Finding(NamedTuple):
    """What came of one recipe."""

    name: str
    title: str
    outcome: str
    moves: tuple[Move, ...]
    unread: tuple[str, ...]
    in_the_way: tuple[str, ...]
    would_do: tuple[str, ...]
    notes: tuple[str, ...]


class Moved(NamedTuple):
    """How often an ingredient moved, and by how many grams up and down, over all recipes."""

    ingredient: str
    times: int
    grams_up: float
    grams_down: float


@dataclass
class Totals:
    """What came of all recipes."""

    outcomes: Counter[str] = field(default_factory=Counter)
    _times: Counter[str] = field(default_factory=Counter)
    _up: defaultdict[str, float] = field(default_factory=lambda: defaultdict(float))
    _down: defaultdict[str, float] = field(default_factory=lambda: defaultdict(float))

    @classmethod
    def of(cls, findings: Iterable[Finding]) -> "Totals":
        """Count `findings`, holding none of them."""
        totals = cls()
        for finding in findings:
            totals._add(finding)
        return totals

    @property
    def recipes(self) -> int:
        """How many recipes there are."""
        return self.outcomes.total()

    def counts(self) -> list[tuple[str, int]]:
        """Return the outcomes that there were, in words, each with its count."""
        return [(OUTCOME_WORDS[o], self.outcomes[o]) for o in ITEM_OUTCOMES if self.outcomes[o]]

    def most_moved(self, count: int = 10) -> list[Moved]:
        """Return the ingredients that moved in most recipes."""
        ranked = sorted(self._times.items(), key=lambda item: (-item[1], item[0]))
        return [Moved(name, n, self._up[name], self._down[name]) for name, n in ranked[:count]]

    def _add(self, finding: Finding) -> None:
        self.outcomes[finding.outcome] += 1
        for move in finding.moves:
            name = move.ingredient
            if name not in self._times and len(self._times) >= MOST_NAMES:
                name = "other ingredients"
            self._times[name] += 1
            grams = move.after_grams - move.before_grams
            self._up[name] += max(grams, 0.0)
            self._down[name] += max(-grams, 0.0)


def finding_of(item: RunItem, unread: Iterable[UnreadLine] = ()) -> Finding:
    """Return what is to be said of `item`; `unread` are lines that were set aside on its way in."""
    answer = item.answer
    said = [f"line {line.line}, “{line.text}”: {line.message}" for line in unread]
    faults = [_fault_words(fault) for fault in item.faults]
    doubts = (
        [f"{x.ingredient}: {x.uncertain.message}" for x in answer.lines if x.uncertain]
        if answer
        else []
    )
    return Finding(
        name=item.external_id or item.recipe_id,
        title=item.title or item.external_id or item.recipe_id,
        outcome=item.outcome,
        moves=tuple(_move(line) for line in answer.lines if line.moved) if answer else (),
        unread=tuple(said or faults),
        in_the_way=tuple(c.message for c in answer.conflicts) if answer else (),
        would_do=tuple(map(_eased, answer.relaxation)) if answer else (),
        notes=(*doubts, *(f"{x.limit} {x.message}" for x in item.left_out)),
    )


def _move(line: OutcomeLine) -> Move:
    after = line.after
    assert after is not None, "a line that moved has an amount"
    return Move(
        line.ingredient,
        line.before.measure,
        after.measure,
        line.before.grams,
        after.grams,
        line.change_percent,
        line.reason or "",
    )


def _eased(conflict: Conflict) -> str:
    """Return which limit to set to what; rounded so that it still works."""
    if conflict.relax_to is None:
        return conflict.message
    rounded = math.floor if conflict.limit.endswith(".min") else math.ceil
    eased = rounded(conflict.relax_to * 1000) / 1000
    return f"{conflict.limit} at {eased:g} instead of {conflict.value:g}"


def _fault_words(fault: Fault) -> str:
    steps = fault.pointer.strip("/").split("/")
    line = next((int(step) + 1 for step in steps if step.isascii() and step.isdigit()), None)
    return fault.message if line is None else f"line {line}: {fault.message}"
