"""The change report: what moved in every recipe of a run, by how much and why, for a shop owner.

As plain text (Markdown), as CSV, or as one page to print, without scripts. The totals stand on top
with a list of contents; then come the recipes that changed, and those to which nothing happened
last. So the findings are gone over several times; none is held.
"""

from collections.abc import Callable, Iterator
from typing import Literal

from service.exchange import report_csv, report_page, report_text
from service.exchange.findings import Findings, Totals

ReportForm = Literal["markdown", "csv", "html"]

_WRITERS: dict[ReportForm, Callable[[Totals, Findings], Iterator[str]]] = {
    "markdown": report_text.write,
    "csv": report_csv.write,
    "html": report_page.write,
}
MEDIA_TYPES: dict[ReportForm, str] = {
    "markdown": "text/markdown; charset=utf-8",
    "csv": "text/csv; charset=utf-8; header=present",
    "html": "text/html; charset=utf-8",
}


def change_report(findings: Findings, form: ReportForm) -> Iterator[str]:
    """Yield the report, bit by bit; `findings` begins anew each time it is called."""
    return _WRITERS[form](Totals.of(findings()), findings)
