"""The change report: every recipe accounted for, in three forms that hold no surprises."""

import csv
import io
import tracemalloc
from html.parser import HTMLParser
from typing import Any

import pytest

from models.errors import Fault
from models.outcome import Outcome
from models.run import RunItem
from service.command_line.demo import REQUEST
from service.exchange.change_report import change_report
from service.exchange.findings import Finding, Totals, finding_of
from service.reading.recipe_text import UnreadLine
from solver.reformulate import reformulate
from tests.conftest import brief_of

HOSTILE = '=cmd()|"</script><script>alert(1)</script>\r\n\t| *b* [x](javascript:1) \u202e'


def item(position: int, **rest: Any) -> RunItem:
    members = {"recipe_id": f"rec_{position}", "version": 1, "external_id": f"r{position}"}
    return RunItem(**{**members, "position": position, "title": f"Dough {position}", **rest})


def answer_with(least_flour_to_fat: float) -> Outcome:
    """Return the answer to the lantern makers' brief at another bound."""
    window = {**REQUEST["window"], "flour_to_fat": {"min": least_flour_to_fat}}
    limits = {**REQUEST["limits"], "keep": ["molasses", "unsalted butter"]}
    return reformulate(brief_of({**REQUEST, "window": window, "limits": limits}), lambda: 60.0)


@pytest.fixture(scope="module")
def findings() -> list[Finding]:
    """One recipe of each kind: changed, impossible, unreadable, and one named to hurt."""
    answer, impossible = answer_with(2.1), answer_with(3.4)
    fault = Fault(pointer="/lines/2", message='"zorkling" is not a known ingredient.')
    aside = UnreadLine(line=1, text="For the dough:", message="This is a heading.")
    return [
        finding_of(item(0, outcome="reformulated", answer=answer), [aside]),
        finding_of(item(1, outcome="infeasible", answer=impossible)),
        finding_of(item(2, outcome="unreadable", faults=(fault,))),
        finding_of(item(3, outcome="unchanged", title=HOSTILE, external_id=HOSTILE)),
    ]


def written(findings: list[Finding], form: Any) -> str:
    def go_over(outcome: Any = None) -> list[Finding]:
        return [each for each in findings if outcome in {None, each.outcome}]

    return "".join(change_report(go_over, form))


@pytest.mark.parametrize("form", ["markdown", "csv", "html"])
def test_everything_is_said_in_every_form(findings, form):
    """From what to what, in measures and grams, by how much and why; and why not."""
    report = written(findings, form)
    for said in (
        "3 1/2 cups",
        "3 2/3 cups + 3 tbsp",
        "437.5",
        "481.8",
        "10.1",
        "Raised for flour to fat of at least 2.1",
        "flour to fat of at least 3.4 stands in the way",
        "at 2.202 instead of 3.4",
        "zorkling",
        "line 3",
        "For the dough:",
    ):
        assert said in report


@pytest.mark.parametrize("form", ["markdown", "csv", "html"])
def test_totals_stand_on_top(findings, form):
    """Counts by outcome and the ingredients that moved most come before the first recipe."""
    report = written(findings, form)
    its_own = report.index if form == "csv" else report.rindex  # the contents name it before
    top = report[: its_own("Dough 0")].lower()
    for said in ("changed", "no change will do", "could not be read", "nothing to change"):
        assert said in top
    assert "all-purpose flour" in top
    assert "baking soda" in top


def test_an_eased_bound_still_works_when_rounded(findings):
    """The bound that the report names is rounded to the side on which it holds."""
    assert findings[1].would_do == ("flour_to_fat.min at 2.202 instead of 3.4",)
    assert answer_with(2.202).outcome == "reformulated"


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.text = ""
        self.links: list[str] = []
        self.anchors: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes.update(name for name, _ in attrs)
        self.links += [value or "" for name, value in attrs if name == "href"]
        self.anchors += [value or "" for name, value in attrs if name == "id"]

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_page_has_no_scripts_and_fetches_nothing(findings):
    """Whatever a recipe is called, the page is text and tables."""
    page = _Page()
    page.feed(written(findings, "html"))
    assert not page.tags & {"script", "img", "link", "iframe", "object", "form"}
    plain = {"lang", "charset", "name", "content", "scope", "class", "aria-label"}
    assert page.attributes <= plain | {"href", "id"}
    assert all(link.startswith("#") for link in page.links)
    assert "<script>alert(1)</script>" in page.text


def test_the_contents_lead_to_every_recipe(findings):
    """Each link leads to its own place on the page, and every outcome and recipe has one."""
    page = _Page()
    page.feed(written(findings, "html"))
    assert len(set(page.anchors)) == len(page.anchors)
    assert sorted(page.links) == sorted(f"#{anchor}" for anchor in page.anchors)
    assert {"to-order", "reformulated", "infeasible-0", "unchanged-0"} <= set(page.anchors)


@pytest.mark.parametrize("form", ["markdown", "csv", "html"])
def test_what_changed_comes_first(findings, form):
    """Whatever the run's order, recipes to which nothing happened come last."""
    report = written(findings[::-1], form)
    places = [report.rindex(said) for said in ("Dough 0", "Dough 1", "Dough 2", "alert(1)")]
    assert places == sorted(places)


@pytest.mark.parametrize("form", ["markdown", "csv", "html"])
def test_one_recipe_is_one_recipe(findings, form):
    """What is counted is counted as one says it."""
    report = written(findings[:1], form)
    assert "1 recipe" in report
    assert "1 recipes" not in report
    assert "3 recipes" in written([findings[0]] * 3, form)


def test_the_totals_can_be_ordered_by(findings):
    """Grams, or kilograms from one on, more and less over one batch of each recipe; past the most
    that are listed the rest stand in one sum."""
    sugar = findings[0].moves[0]._replace(ingredient="brown sugar")
    up = sugar._replace(before_grams=0.0, after_grams=1500.0)
    down = sugar._replace(before_grams=300.0, after_grams=0.0)
    many = [findings[0]._replace(moves=(up,)), findings[0]._replace(moves=(down,))]
    text = written(many, "markdown")
    assert "- brown sugar: 1.50 kg more and 300 g less, so 1.20 kg more, in 2 recipes" in text
    moves = [up._replace(ingredient=f"spice {number:03}") for number in range(203)]
    listed = Totals.of([findings[0]._replace(moves=tuple(moves))]).most_moved()
    assert len(listed) == 201
    assert (listed[-1].ingredient, listed[-1].times, listed[-1].grams_up) == (
        "other ingredients",
        3,
        4500,
    )


def test_no_cell_is_a_formula(findings):
    """No cell of the report opens as a formula does, but for numbers below nothing."""
    rows = list(csv.reader(io.StringIO(written(findings, "csv").removeprefix("\ufeff"))))
    assert {len(row) for row in rows} == {11}
    for cell in (cell for row in rows for cell in row):
        if cell[:1] in {"=", "+", "-", "@", "\t", "\r"}:
            assert float(cell) < 0


def test_a_title_makes_no_marks_and_no_lines(findings):
    """In the text a title stays on its line, and is only ever a title."""
    text = written(findings, "markdown")
    (heading,) = [line for line in text.splitlines() if "alert" in line]
    assert heading.startswith("### =cmd()\\|")
    assert "\\[x\\](javascript:1)" in heading
    assert heading.isprintable()


@pytest.mark.parametrize("form", ["markdown", "csv", "html"])
def test_a_report_takes_the_memory_of_one_recipe(findings, form):
    """Over 3,000 recipes, each with an ingredient of its own name, 10 MB are written and less than
    3 MB held."""
    move = findings[0].moves[0]._replace(reason="x" * 3500)

    def many(outcome=None):
        return (
            findings[0]._replace(moves=(move._replace(ingredient=f"flour {i}"),))
            for i in range(3000)
        )

    tracemalloc.start()
    try:
        length = sum(map(len, change_report(many, form)))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert length > 10_000_000
    assert peak < 3_000_000


def test_totals_add_up(findings):
    """Every recipe is counted once, and grams up and down are kept apart."""
    totals = Totals.of(findings)
    assert totals.recipes == 4
    assert [count for _, count in totals.counts()] == [1, 1, 1, 1]
    flour, soda = totals.most_moved()
    assert (flour.times, flour.grams_up, flour.grams_down) == (1, pytest.approx(44.271, 1e-4), 0)
    assert (soda.grams_up, soda.grams_down) == (0, pytest.approx(2.3))
