"""The change report as one page to print: its own style, no scripts, nothing from elsewhere."""

import base64
import hashlib
from collections.abc import Iterable, Iterator
from html import escape

from service.exchange.findings import OUTCOME_WORDS, Finding, Move, Totals

STYLE = (
    "body{font:11pt/1.4 serif;max-width:48em;margin:2em auto;padding:0 1em;color:#111}"
    "section{break-inside:avoid;border-top:1px solid #bbb;margin-top:1.2em}"
    "h2{font-size:1.1em;margin:.6em 0 .2em}small{color:#444;font-weight:normal}"
    "table{border-collapse:collapse;width:100%}"
    "th,td{text-align:left;vertical-align:top;padding:.15em .6em .15em 0}"
    "thead th{border-bottom:1px solid #111}td.number{text-align:right;white-space:nowrap}"
    "@media print{body{margin:0;max-width:none}}"
)


def content_security_policy() -> str:
    """Return the policy under which the page may be shown: its own style and nothing else."""
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; frame-ancestors 'none'"


def write(totals: Totals, findings: Iterable[Finding]) -> Iterator[str]:
    """Yield the page: totals, then recipe after recipe."""
    title = f"What changed in {totals.recipes} recipes"
    yield (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{title}</title><style>{STYLE}</style></head>\n<body><main><h1>{title}</h1>\n"
    )
    yield from _totals(totals)
    for finding in findings:
        yield "".join(_section(finding))
    yield "</main></body></html>\n"


def _totals(totals: Totals) -> Iterator[str]:
    yield _list(f"{words}: {count}" for words, count in totals.counts())
    moved = totals.most_moved()
    if moved:
        yield "<h2>Moved most often</h2>\n"
        yield _table(
            ("ingredient", "recipes", "g more in all", "g less in all"),
            ((m.ingredient, m.times, f"{m.grams_up:.0f}", f"{m.grams_down:.0f}") for m in moved),
            numbers=(1, 2, 3),
        )


def _section(finding: Finding) -> Iterator[str]:
    named = "" if finding.name == finding.title else f" <small>{_shown(finding.name)}</small>"
    yield f"<section><h2>{_shown(finding.title)}{named}</h2>\n"
    yield f"<p>{OUTCOME_WORDS[finding.outcome].capitalize()}.</p>\n"
    if finding.moves:
        yield _table(
            ("ingredient", "from", "to", "g from", "g to", "change", "why"),
            map(_move_cells, finding.moves),
            numbers=(3, 4, 5),
        )
    for heading, items in (
        ("Not read", finding.unread),
        ("In the way", finding.in_the_way),
        ("This would do", finding.would_do),
        ("Notes", finding.notes),
    ):
        if items:
            yield f"<p>{heading}:</p>\n{_list(items)}"
    yield "</section>\n"


def _move_cells(move: Move) -> tuple[str, ...]:
    grams = (f"{move.before_grams:.1f}", f"{move.after_grams:.1f}")
    return (move.ingredient, move.before, move.after, *grams, move.change, move.reason)


def _table(
    headings: Iterable[str], rows: Iterable[Iterable[object]], numbers: tuple[int, ...]
) -> str:
    head = "".join(f'<th scope="col">{heading}</th>' for heading in headings)
    body = "".join(
        "<tr>"
        + "".join(
            f'<td class="number">{_shown(cell)}</td>'
            if at in numbers
            else f"<td>{_shown(cell)}</td>"
            for at, cell in enumerate(row)
        )
        + "</tr>\n"
        for row in rows
    )
    return f"<table><thead><tr>{head}</tr></thead>\n<tbody>{body}</tbody></table>\n"


def _list(items: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{_shown(item)}</li>" for item in items) + "</ul>\n"


def _shown(value: object) -> str:
    return escape("".join(c if c.isprintable() else " " for c in str(value)))
