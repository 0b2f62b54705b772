"""The change report as Markdown that also reads as plain text."""

import re
from collections.abc import Iterable, Iterator

from service.exchange.findings import OUTCOME_WORDS, Finding, Totals

_MARKS = re.compile(r"([\\`*_<>\[\]|#~])")


def write(totals: Totals, findings: Iterable[Finding]) -> Iterator[str]:
    """Yield the totals, then recipe after recipe."""
    yield f"# What changed in {totals.recipes} recipes\n\n"
    yield from (f"- {words}: {count}\n" for words, count in totals.counts())
    moved = totals.most_moved()
    if moved:
        yield "\nMoved most often:\n\n"
    for one in moved:
        yield (
            f"- {_plain(one.ingredient)}: in {one.times} recipes, "
            f"{one.grams_up:.0f} g more and {one.grams_down:.0f} g less in all\n"
        )
    for finding in findings:
        yield "\n" + "".join(f"{line}\n" for line in _section(finding))


def _section(finding: Finding) -> Iterator[str]:
    named = "" if finding.name == finding.title else f" ({_plain(finding.name)})"
    yield f"## {_plain(finding.title)}{named}"
    yield ""
    yield f"{OUTCOME_WORDS[finding.outcome].capitalize()}."
    for move in finding.moves:
        yield (
            f"- {_plain(move.ingredient)}: {move.before} → {move.after} "
            f"({move.before_grams:.1f} g → {move.after_grams:.1f} g, {move.change})"
        )
        if move.reason:
            yield f"  {_plain(move.reason)}"
    for heading, items in (
        ("Not read", finding.unread),
        ("In the way", finding.in_the_way),
        ("This would do", finding.would_do),
        ("Note", finding.notes),
    ):
        yield from (f"- {heading}: {_plain(item)}" for item in items)


def _plain(text: str) -> str:
    shown = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return _MARKS.sub(r"\\\1", shown)
