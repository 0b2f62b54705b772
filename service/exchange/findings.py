"""Findings: what a shop owner wants to know of each recipe of a run, and of all of them together.

They are taken from a run's items (`models.run`); how they are put on paper is
`service.exchange.change_report`.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from models.errors import Fault
from models.outcome import Conflict, OutcomeLine
from models.run import ItemOutcome, RunItem
from service.reading.recipe_text import UnreadLine

OUTCOME_WORDS: dict[ItemOutcome, str] = {
    "reformulated": "changed",
    "unfinished": "time ran out; the best found so far",
    "infeasible": "no change will do",
    "unreadable": "could not be read",
    "failed": "failed on our side",
    "unchanged": "nothing to change",
}
"""In the order in which they are told: what is to be done before what is not."""

MOST_NAMES = 10_000
"""Ingredients that are told apart in the totals: more than there are, unless callers name them."""
MOST_LISTED = 200
"""Of ingredients in the totals, and of recipes under each outcome in the list of contents."""


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
    outcome: ItemOutcome
    moves: tuple[Move, ...]
    unread: tuple[str, ...]
    in_the_way: tuple[str, ...]
    would_do: tuple[str, ...]
    notes: tuple[str, ...]


class Findings(Protocol):
    """A way to go over the findings of a run, or over those of one outcome, as often as wished."""

    def __call__(self, outcome: ItemOutcome | None = None) -> Iterable[Finding]:
        """Yield them in the run's order."""


class Moved(NamedTuple):
    """In how many recipes an ingredient moved, and by how many grams up and down in all."""

    ingredient: str
    times: int
    grams_up: float
    grams_down: float

    @property
    def words(self) -> str:
        """What is to be ordered, for one batch of each recipe."""
        net = self.grams_up - self.grams_down
        ways = [f"{weight(self.grams_up)} more"] if self.grams_up else []
        ways += [f"{weight(self.grams_down)} less"] if self.grams_down else []
        sum_of_both = f", so {weight(abs(net))} {'more' if net > 0 else 'less'}"
        return " and ".join(ways) + (sum_of_both if len(ways) > 1 else "")


@dataclass
class Totals:
    """What came of all recipes, and how the first of each outcome are called."""

    outcomes: Counter[ItemOutcome] = field(default_factory=Counter)
    titles: defaultdict[ItemOutcome, list[str]] = field(default_factory=lambda: defaultdict(list))
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

    @property
    def told(self) -> list[ItemOutcome]:
        """The outcomes that there were, in the order in which they are told."""
        return [outcome for outcome in OUTCOME_WORDS if self.outcomes[outcome]]

    def counts(self) -> list[tuple[str, int]]:
        """Return the outcomes that there were, in words, each with its count."""
        return [(OUTCOME_WORDS[outcome], self.outcomes[outcome]) for outcome in self.told]

    def most_moved(self, count: int = MOST_LISTED) -> list[Moved]:
        """Return the ingredients that moved in most recipes; those past `count` in one sum."""
        ranked = sorted(self._times.items(), key=lambda item: (-item[1], item[0]))
        listed = [Moved(name, n, self._up[name], self._down[name]) for name, n in ranked[:count]]
        rest = [name for name, _ in ranked[count:]]
        if rest:
            times, up, down = (
                sum(each[name] for name in rest) for each in (self._times, self._up, self._down)
            )
            listed.append(Moved(_OTHERS, int(times), up, down))
        return listed

    def _add(self, finding: Finding) -> None:
        self.outcomes[finding.outcome] += 1
        if len(titles := self.titles[finding.outcome]) < MOST_LISTED:
            titles.append(finding.title)
        for move in finding.moves:
            name = move.ingredient
            if name not in self._times and len(self._times) >= MOST_NAMES:
                name = _OTHERS
            self._times[name] += 1
            grams = move.after_grams - move.before_grams
            self._up[name] += max(grams, 0.0)
            self._down[name] += max(-grams, 0.0)


_OTHERS = "other ingredients"


def counted(recipes: int) -> str:
    """Return so many recipes in words."""
    return f"{recipes:,} recipe{'' if recipes == 1 else 's'}"


def weight(grams: float) -> str:
    """Return a weight as one orders by it: in kilograms from one kilogram."""
    if grams >= 999.5:
        return f"{grams / 1000:,.2f} kg"
    return f"{grams:.0f} g" if grams >= 9.95 else f"{grams:.1f} g"


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
