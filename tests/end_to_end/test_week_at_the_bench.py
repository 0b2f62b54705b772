"""A week at the bench, as the README walks it: from a recipe that cracks to one to publish."""

import re
from urllib.parse import urlencode

import httpx
import pytest

from tests.end_to_end.visiting import LINES, visiting
from tests.end_to_end.visiting import chromium as chromium

DRUM = {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 120, "length_mm": 100}
RECIPE = {"title": "Lantern ginger dough", "lines": [{"text": t} for t in LINES.splitlines()]}
PLANNED = {"recipe": RECIPE, "target": {"form": DRUM, "thickness_mm": 5}}


@pytest.fixture
def visitor(chromium, server):
    with visiting(chromium, server, java_script_enabled=False) as someone:
        yield someone


def answered(server, address, body):
    answer = httpx.post(server.url + address, json=body, timeout=60)
    assert answer.status_code in {200, 201}, answer.text
    return answer.json()


def chance_of(server, kitchen):
    asked = {**PLANNED, "edits": [], "kitchen": kitchen}
    return answered(server, "/v1/what-if", asked)["form"]["chance_percent"]["before"]


def log_tray(page, kitchen, recipe_lines, sheets, after):
    """Log a tray by the form that the code on a bake sheet opens."""
    page.fill("#recipe", "\n".join(recipe_lines))
    for at, (thickness, grades) in enumerate(sheets, start=1):
        page.fill(f"#thickness{at}", str(thickness))
        page.fill(f"#grades{at}", grades)
    page.fill("#after", str(after))
    page.click("button[type=submit]")
    return page.locator("#logged").inner_text()


def lines_of(recipe):
    return [
        line.get("text") or f"{line['quantity']:.6g} {line['unit']} {line['ingredient']}"
        for line in recipe["lines"]
    ]


def test_a_week_at_the_bench(visitor, server):
    """Paste the dough and see its chance; print the bake sheet; log two trays by the form its code
    opens; the range of the chance narrows; bake what is asked for next; and within five bakes one
    is ready to publish, whose card the page shows."""
    page = visitor.go()
    page.fill("#lines", LINES)
    page.check("[name=form][value=cylinder]")
    page.fill("[name='cylinder.diameter_mm']", "70")
    page.fill("[name='cylinder.wrap_degrees']", "120")
    page.fill("#thickness", "5 mm")
    page.click("button.main[value=answer]")
    page.wait_for_selector("#answer")

    kitchen = answered(server, "/v1/kitchens", {"name": "Wickhollow, the stone oven"})["id"]
    at = f"/kitchens/{kitchen}/log"
    plan = {**PLANNED, "variant": {"thickness_mm": 3.5}, "log_address": server.url + at}
    sheet = answered(server, "/v1/bake-sheets", plan)
    assert "Log it here" in sheet["svg"]
    begun = sheet["log_address"].removeprefix(server.url)

    before = chance_of(server, kitchen)
    visitor.go(begun)
    said = log_tray(page, kitchen, LINES.splitlines(), [(5, "3 2 3")], 63)
    assert "3 of 3 pieces showed a crack" in said
    assert "Bake this next" in said
    visitor.go(at)
    said = log_tray(page, kitchen, LINES.splitlines(), [(3.5, "0 0 1 0"), (5, "2")], 62.5)
    after = chance_of(server, kitchen)
    assert after["high"] - after["low"] < before["high"] - before["low"]

    for _ in range(3):
        step = answered(server, f"/v1/kitchens/{kitchen}/next-bake", PLANNED)
        if step["step"] == "publish":
            break
        assert step["step"] == "bake"
        visitor.go(at)
        if step["chilled"]:
            page.check("[name=chilled]")
        sheets = [(s["thickness_mm"], " ".join(["0"] * s["pieces"])) for s in step["sheets"]]
        said = log_tray(page, kitchen, lines_of(step["recipe"]), sheets, 61.5)
        visitor.shoot("bench")
    assert step["step"] == "publish", step["reason"]
    assert "Publish this one" in said

    address = urlencode({"lines": "\n".join(lines_of(step["recipe"])), "form": "none"})
    card = visitor.go(f"/?{address}&flour_to_fat.min=0.5&do=answer#answer")
    assert re.search(r"unsalted butter", card.inner_text("#main"))


def test_the_code_opens_a_form_that_a_telephone_fills_in(chromium, server):
    """On a screen of 360 pixels the address of the code opens the form with the dough, its form and
    both sheets filled in; nothing runs off to the side, every field is large enough for a thumb,
    and grades alone make a tray of two thicknesses."""
    kitchen = answered(server, "/v1/kitchens", {"name": "By telephone"})["id"]
    plan = {
        **PLANNED,
        "variant": {"thickness_mm": 3.5},
        "log_address": f"{server.url}/kitchens/{kitchen}/log",
    }
    begun = answered(server, "/v1/bake-sheets", plan)["log_address"]
    narrow = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
    with visiting(chromium, server, java_script_enabled=True, **narrow) as someone:
        page = someone.go(begun.removeprefix(server.url))
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        assert page.input_value("#recipe").replace("\r", "") == LINES
        assert page.input_value("#title") == RECIPE["title"]
        for field in page.locator("input:not([type=radio]):not([type=checkbox])").all():
            box = field.bounding_box()
            assert box is None or box["height"] >= 24  # WCAG 2.2, 2.5.8, target size
        page.fill("#grades1", "3 2")
        page.fill("#grades2", "0 1")
        page.fill("#after", "62.5")
        page.tap("button[type=submit]")
        assert "2 of 4 pieces showed a crack" in page.locator("#logged").inner_text()
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        someone.shoot("bench-telephone")
    [told] = httpx.get(f"{server.url}/v1/kitchens/{kitchen}/trials").json()["trials"]
    assert [sheet["thickness_mm"] for sheet in told["trial"]["sheets"]] == [5, 3.5]
    assert told["trial"]["form"] == DRUM


def test_what_is_wrong_on_the_form_stays_on_it(visitor, server):
    """A round that trebled is named in words, nothing typed is lost, and nothing is kept."""
    kitchen = answered(server, "/v1/kitchens", {"name": "Another oven"})["id"]
    page = visitor.go(f"/kitchens/{kitchen}/log")
    visitor.complaints.clear()
    said = page.locator("body").inner_text()
    assert "hairlines" in said
    page.fill("#recipe", LINES)
    page.fill("#thickness1", "1/8 in")
    page.fill("#grades1", "0 7")
    page.fill("#after", "900")
    page.click("button[type=submit]")
    faults = page.locator("[role=alert]").inner_text()
    assert "900" not in faults or "mm" in faults
    assert "Not logged yet" in faults
    assert page.input_value("#recipe").replace("\r", "") == LINES
    assert page.input_value("#thickness1") == "1/8 in"
    visitor.complaints.clear()  # the browser itself remarks on a 422
    kept = httpx.get(f"{server.url}/v1/kitchens/{kitchen}/trials").json()
    assert kept == {"trials": []}
