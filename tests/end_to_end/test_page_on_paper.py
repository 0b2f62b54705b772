"""The page on paper: whatever state it is in, what comes out of a printer is of use."""

from io import BytesIO
from urllib.parse import urlencode

import pytest
from pypdf import PdfReader

from tests.end_to_end.test_printed_template import has, rectangles_mm
from tests.end_to_end.visiting import LINES, visiting
from tests.end_to_end.visiting import chromium as chromium

ON_ROLL = {"lines": LINES, "title": "Quay lamp", "form": "cylinder", "do": "answer"}
KEPT = ["unsalted butter", "egg", "brown sugar", "molasses", "baking soda"]
FIXED = {"keep": KEPT, "stay.thickness": "1", "stay.warm": "1", "flour_change": "1"}

STATES = {
    "nothing asked": ({}, ["until you paste yours", "then this page prints the card"]),
    "a card": (ON_ROLL, ["Quay lamp", "Oven, °C or °F", "a trial bake decides", "Roll to 3 mm"]),
    "nothing will do": (
        {**ON_ROLL, **FIXED, "crack_chance_percent.max": "2"},
        ["Quay lamp", "No measurable change meets everything", "Your limit of", "3 1/2 cups"],
    ),
    "nothing will do by hand": (
        {**ON_ROLL, **FIXED, "form": "none", "flour_to_fat.min": "9"},
        ["Quay lamp", "No measurable change meets everything", "Flour to fat", "1/3 cup molasses"],
    ),
    "beyond experience": (
        {**ON_ROLL, "lines": "300 g flour\n150 g butter\n1 egg"},
        ["Quay lamp", "No chance is known", "What bakers try, in this order", "300 g"],
    ),
    "a fault": (
        {**ON_ROLL, "thickness": "thin"},
        ["needs mending", "is no length", "1/3 cup molasses"],
    ),
}


@pytest.mark.parametrize("state", STATES)
def test_every_state_of_the_page_prints(chromium, server, state):
    """One page, with what a baker or whoever helps them needs, and none of the page's buttons."""
    typed, wanted = STATES[state]
    with visiting(chromium, server) as visitor:
        page = visitor.go("/?" + urlencode(typed, doseq=True))
        printed = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
        text = " ".join(" ".join(sheet.extract_text() for sheet in printed.pages).split())
        assert len(printed.pages) == 1
        for words in wanted:
            assert words in text
        for button in ("Show the ways", "Use this", "Set beside", "Print the card", "Deutsch"):
            assert button not in text


@pytest.mark.parametrize(("paper", "sides"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_bake_sheet_of_the_page_is_one_sheet_of_paper(chromium, server, paper, sides):
    """It opens beside the page, and prints in true size: its boxes measure 3.2 mm."""
    with visiting(chromium, server) as visitor:
        page = visitor.go("/?" + urlencode(ON_ROLL))
        with page.context.expect_page() as opened:
            page.click(f"button[formaction='/page/bake-sheet'][value={paper}]")
        sheet = opened.value
        sheet.wait_for_selector(".leaf")
        printed = PdfReader(BytesIO(sheet.pdf(prefer_css_page_size=True)))
        assert len(printed.pages) == 1
        box = printed.pages[0].mediabox
        seen = [float(side) * 25.4 / 72 for side in (box.width, box.height)]
        assert seen == pytest.approx(sides, abs=0.3)
        code = printed.pages[0].get_contents().get_data()
        assert has(rectangles_mm(code), 3.2, 3.2)
        assert page.is_visible("#h-answer")
