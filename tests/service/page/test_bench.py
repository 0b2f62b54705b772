"""From the page to the bench: a kitchen's own chances, a bake sheet, and a way back."""

import html
import re
from urllib.parse import urlencode

import pytest

from tests.service.page.test_home import HTML, LINES, send

FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture
def kitchen(client):
    """A kitchen in which everything cracked so far."""
    made = client.post("/v1/kitchens", json={"name": "Mill oven"}).json()["id"]
    form = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
    recipe = {"lines": [{"text": line} for line in LINES.split("\r\n")]}
    pieces = [{"crack_grade": 3}] * 8
    trial = {"recipe": recipe, "form": form, "sheets": [{"thickness_mm": 3, "pieces": pieces}]}
    logged = client.post(f"/v1/kitchens/{made}/trials", json=trial)
    assert logged.status_code == 201, logged.text
    return made


def test_a_kitchen_is_chosen_on_the_page(client, kitchen):
    """The answer is the one that the interface gives of that kitchen; of another's there is none,
    and a page that stands in somebody's frame offers none."""
    asked = {"lines": LINES, "form": "cylinder", "do": "answer"}
    fresh = client.get("/", headers=HTML).text
    assert f'<option value="{kitchen}">Mill oven</option>' in fresh
    assert "Mill oven" not in client.get("/?embed=1", headers=HTML).text
    page = send(client, {**asked, "kitchen": kitchen}).text
    form = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
    target = {"form": form, "thickness_mm": 4}
    recipe = {"lines": [{"text": line} for line in LINES.split("\r\n")]}
    judge = {"recipe": recipe, "edits": [], "target": target, "kitchen": kitchen}
    judged = client.post("/v1/what-if", json=judge).json()
    assert judged["form"]["words"]["after"] in page
    assert judged["form"]["kitchen"]["words"].split(".")[0] in page
    assert "in this kitchen" in page
    assert "by kitchen" not in page
    assert f"kitchen={kitchen}" in re.search(r'id="share" href="([^"]+)"', page)[1]
    other = send(client, {**asked, "kitchen": "kit_0000000000000000000000000a"}).text
    assert "This kitchen is not one of yours" in other


def _bake_sheet(client, typed):
    return client.post("/page/bake-sheet", content=urlencode(typed).encode(), headers=FORM)


@pytest.mark.parametrize("way", ["thinner", "less_leavening"])
def test_the_way_that_is_taken_is_tried_on_a_bake_sheet(client, kitchen, way):
    """The page's sheet is the interface's, with the way as its variant; where a kitchen is chosen
    its code leads to where the outcome is logged."""
    typed = {"lines": LINES, "form": "cylinder", "way": way, "do": "answer"}
    page = send(client, typed).text
    text = re.search(r'<textarea id="card-text"[^>]*>\n(.*?)</textarea>', page, re.DOTALL)[1]
    lines = html.unescape(text).split("\n\n")[1].splitlines()
    proposal = html.unescape(re.search(r'name="proposal" value="([^"]*)"', page)[1])
    thickness, chilled = re.search(r",([\d.]+),(true|false)\]$", proposal).groups()
    form = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150, "length_mm": 100}
    variant = {"recipe": {"lines": [{"text": line} for line in lines]}}
    variant |= {"thickness_mm": float(thickness), "chilled": chilled == "true"}
    question = {
        "recipe": {"lines": [{"text": line} for line in LINES.split("\r\n")]},
        "target": {"form": form, "thickness_mm": 4},
        "variant": variant,
        "paper": "letter",
    }
    planned = client.post("/v1/bake-sheets", json=question).json()
    sheet = _bake_sheet(client, {**typed, "do": "letter"})
    assert sheet.status_code == 200
    assert 'class="letter"' in sheet.text
    assert planned["svg"] in sheet.text
    logged = _bake_sheet(client, {**typed, "do": "letter", "kitchen": kitchen}).text
    assert len(logged) > len(sheet.text) + 1000, "the code is missing"


def test_a_bake_sheet_of_what_is_no_brief_is_the_page_with_its_faults(client):
    """Nothing typed is lost."""
    typed = {"lines": LINES, "form": "cylinder", "thickness": "thin", "do": "a4"}
    refused = _bake_sheet(client, typed)
    assert refused.status_code == 422
    assert 'id="faults"' in refused.text
    assert "1/3 cup molasses" in refused.text


def test_a_button_that_changed_what_was_typed_is_undone_by_a_link(client):
    """A way, the proposal and a limit that gave way each lead back to the page before."""
    asked = [("lines", LINES), ("form", "cylinder"), ("way", ""), ("do", "answer")]
    before = send(client, asked).text
    assert 'data-do="visit"' not in before
    for pressed in (("way", "less_leavening"), ("do", "apply")):
        after = send(client, [*asked[:-1], pressed] if pressed[0] == "do" else [*asked, pressed])
        back = re.search(r'data-do="visit" href="([^"]+)"', after.text)[1]
        undone = client.get(back.replace("&amp;", "&").split("#")[0], headers=HTML).text
        assert _answer_of(undone) == _answer_of(before) != _answer_of(after.text)


def _answer_of(page):
    return re.search(r'<h2 id="h-answer".*?</h2>', page, re.DOTALL)[0]
