"""The change report as Markdown that also reads as plain text."""

import re
from collections.abc import Iterator

from service.exchange.findings import OUTCOME_WORDS, Finding, Findings, Totals, counted

_MARKS = re.compile(r"([\\`*_<>\[\]|#~])")


def write(totals: Totals, findings: Findings) -> Iterator[str]:
    """Yield the totals and the contents, then recipe after recipe, those that changed in front."""
    yield f"# What changed in {counted(totals.recipes)}\n\n"
    for outcome in totals.told:
        heading = OUTCOME_WORDS[outcome].capitalize()
        yield f"- [{heading}](#{_anchor(heading)}): {counted(totals.outcomes[outcome])}\n"
    moved = totals.most_moved()
    if moved:
        yield "\n## To order by\n\nFor one batch of each recipe:\n\n"
    for one in moved:
        yield f"- {_plain(one.ingredient)}: {one.words}, in {counted(one.times)}\n"
    for outcome in totals.told:
        yield f"\n## {OUTCOME_WORDS[outcome].capitalize()}\n"
        for finding in findings(outcome):
            yield "\n" + "".join(f"{line}\n" for line in _section(finding))


def _anchor(heading: str) -> str:
    """Return what a reader of Markdown calls a heading."""
    return re.sub(r"[^a-z -]", "", heading.lower()).replace(" ", "-")


def _section(finding: Finding) -> Iterator[str]:
    named = "" if finding.name == finding.title else f" ({_plain(finding.name)})"
    yield f"### {_plain(finding.title)}{named}"
    yield ""
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
