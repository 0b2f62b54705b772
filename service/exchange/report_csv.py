"""The change report as CSV: a row for each thing there is to say of a recipe, totals first."""

from collections.abc import Iterator
from itertools import chain

from service.exchange.csv_catalogue import BYTE_ORDER_MARK, csv_text
from service.exchange.findings import OUTCOME_WORDS, Finding, Findings, Move, Totals, counted

COLUMNS = (
    "recipe",
    "title",
    "outcome",
    "what",
    "ingredient",
    "from",
    "from_grams",
    "to",
    "to_grams",
    "change_percent",
    "why",
)
_NOTHING = ("", "", "", "", "", "")


def write(totals: Totals, findings: Findings) -> Iterator[str]:
    """Yield row after row, every cell in quotes and none a formula."""
    yield BYTE_ORDER_MARK
    told = chain.from_iterable(findings(outcome) for outcome in totals.told)
    rows = (row for finding in told for row in _rows(finding))
    yield from csv_text(chain([COLUMNS], _total_rows(totals), rows))


def _total_rows(totals: Totals) -> Iterator[tuple[str, ...]]:
    yield ("", "", "", "total", *_NOTHING, counted(totals.recipes))
    for words, count in totals.counts():
        yield ("", "", words, "total", *_NOTHING, counted(count))
    for one in totals.most_moved():
        grams = f"{one.grams_up:.1f} g more, {one.grams_down:.1f} g less"
        why = f"moved in {counted(one.times)}: {grams}"
        yield ("", "", "", "moved most", one.ingredient, *_NOTHING[1:], why)


def _rows(finding: Finding) -> Iterator[tuple[str, ...]]:
    head = (finding.name, finding.title, OUTCOME_WORDS[finding.outcome])
    said = [
        *(("moved", *_move_cells(move)) for move in finding.moves),
        *(("not read", *_NOTHING, text) for text in finding.unread),
        *(("in the way", *_NOTHING, text) for text in finding.in_the_way),
        *(("would do", *_NOTHING, text) for text in finding.would_do),
        *(("note", *_NOTHING, text) for text in finding.notes),
    ]
    yield from ((*head, *row) for row in said or [("", *_NOTHING, "")])


def _move_cells(move: Move) -> tuple[str, ...]:
    return (
        move.ingredient,
        move.before,
        f"{move.before_grams:.1f}",
        move.after,
        f"{move.after_grams:.1f}",
        "" if move.percent is None else f"{move.percent:.1f}",
        move.reason,
    )
