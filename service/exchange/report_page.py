"""The change report as one page to print: its own style, no scripts, nothing from elsewhere."""

import base64
import hashlib
from collections.abc import Iterable, Iterator
from html import escape

from service.exchange.findings import (
    OUTCOME_WORDS,
    Finding,
    Findings,
    Move,
    Moved,
    Totals,
    counted,
    weight,
)

STYLE = (
    "body{font:11pt/1.4 serif;max-width:48em;margin:2em auto;padding:0 1em;color:#111}"
    "section{break-inside:avoid;border-top:1px solid #bbb;margin-top:1.2em}"
    "h2{font-size:1.25em;margin:1.6em 0 .2em}h3{font-size:1.05em;margin:.6em 0 .2em}"
    "small{color:#444;font-weight:normal}a{color:#7a2e12}"
    "nav>ul{list-style:none;padding:0}nav>ul>li{margin:.35em 0}"
    "nav ol{columns:16em;margin:.2em 0;padding-left:2em}nav p{margin:0 0 0 2em}"
    "table{border-collapse:collapse;width:100%}"
    "th,td{text-align:left;vertical-align:top;padding:.15em .6em .15em 0}"
    "thead th{border-bottom:1px solid #111}.number{text-align:right;white-space:nowrap}"
    "@media print{body{margin:0;max-width:none}}"
)


_NUMBER = ' class="number"'


def content_security_policy() -> str:
    """Return the policy under which the page may be shown: its own style and nothing else."""
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; frame-ancestors 'none'"


def write(totals: Totals, findings: Findings) -> Iterator[str]:
    """Yield the page: contents and totals, then recipe after recipe, what changed in front."""
    title = f"What changed in {counted(totals.recipes)}"
    yield (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{title}</title><style>{STYLE}</style></head>\n<body><main><h1>{title}</h1>\n"
    )
    yield from _contents(totals)
    yield from _to_order(totals)
    for outcome in totals.told:
        yield f'<h2 id="{outcome}">{OUTCOME_WORDS[outcome].capitalize()}</h2>\n'
        for number, finding in enumerate(findings(outcome)):
            yield "".join(_section(finding, f"{outcome}-{number}"))
    yield "</main></body></html>\n"


def _contents(totals: Totals) -> Iterator[str]:
    """Yield the outcomes, each with its recipes; past the first hundreds only how many more."""
    yield '<nav aria-label="Contents"><ul>\n'
    if totals.most_moved(1):
        yield '<li><a href="#to-order">To order by</a></li>\n'
    for outcome in totals.told:
        titles, count = totals.titles[outcome], totals.outcomes[outcome]
        words = OUTCOME_WORDS[outcome].capitalize()
        yield f'<li><a href="#{outcome}">{words}</a>: {counted(count)}<ol>\n'
        yield "".join(
            f'<li><a href="#{outcome}-{number}">{_shown(title)}</a></li>'
            for number, title in enumerate(titles)
        )
        more = count - len(titles)
        yield "</ol>" + (f"<p>and {counted(more)} more</p>" if more else "") + "</li>\n"
    yield "</ul></nav>\n"


def _to_order(totals: Totals) -> Iterator[str]:
    moved = totals.most_moved()
    if moved:
        yield '<h2 id="to-order">To order by</h2>\n<p>For one batch of each recipe.</p>\n'
        yield _table(
            ("ingredient", "in recipes", "more", "less", "in all"),
            map(_order_cells, moved),
            numbers=(1, 2, 3, 4),
        )


def _order_cells(moved: Moved) -> tuple[str, ...]:
    net = moved.grams_up - moved.grams_down
    up, down = (weight(g) if g else "" for g in (moved.grams_up, moved.grams_down))
    sign = "+" if net > 0 else "\N{MINUS SIGN}"
    return moved.ingredient, f"{moved.times:,}", up, down, sign + weight(abs(net))


def _section(finding: Finding, anchor: str) -> Iterator[str]:
    named = "" if finding.name == finding.title else f" <small>{_shown(finding.name)}</small>"
    yield f'<section id="{anchor}"><h3>{_shown(finding.title)}{named}</h3>\n'
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
    measures = (_unbroken(move.before), _unbroken(move.after))
    return (move.ingredient, *measures, *grams, move.change, move.reason)


def _unbroken(measure: str) -> str:
    """Keep a short measure on its line: "300 g", not a number and its unit below."""
    return measure.replace(" ", "\N{NO-BREAK SPACE}") if len(measure) < 8 else measure


def _table(
    headings: Iterable[str], rows: Iterable[Iterable[object]], numbers: tuple[int, ...]
) -> str:
    head = "".join(
        f'<th scope="col"{_NUMBER if at in numbers else ""}>{heading}</th>'
        for at, heading in enumerate(headings)
    )
    body = "".join(
        "<tr>"
        + "".join(
            f"<td{_NUMBER if at in numbers else ''}>{_shown(cell)}</td>"
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
