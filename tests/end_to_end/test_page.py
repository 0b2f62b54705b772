"""The page in a real browser: its job with scripts and without, by keyboard, on paper."""

import json
from io import BytesIO
from urllib.parse import parse_qsl, unquote

import httpx
import pytest
from pypdf import PdfReader

from tests.end_to_end.test_printed_template import has, rectangles_mm, uncompressed
from tests.end_to_end.visiting import LINES, until, visiting
from tests.end_to_end.visiting import chromium as chromium

ON_CYLINDER = {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 120, "length_mm": 100}
MOST_BYTES = 60_000


@pytest.fixture
def visitor(chromium, server):
    with visiting(chromium, server) as someone:
        yield someone


@pytest.fixture
def scriptless(chromium, server):
    with visiting(chromium, server, java_script_enabled=False) as someone:
        yield someone


def shown_lines(page):
    """Return ingredient, measure and grams of every line on the card."""
    rows = page.locator(".card tbody tr:not(.why)").all()
    return [[cell.strip() for cell in row.locator("th, td ins").all_inner_texts()] for row in rows]


def expected_lines(server):
    """Return the same from the interface."""
    brief = {
        "recipe": {"lines": [{"text": line} for line in LINES.splitlines()]},
        "target": {
            "form": ON_CYLINDER,
            "thickness_mm": 5.0,
            "may_roll_to_mm": 2,
            "may_chill": True,
        },
        "limits": {"keep": ["molasses"]},
        "measures": "metric",
    }
    answer = httpx.post(f"{server.url}/v1/reformulations", json=brief, timeout=30).json()
    assert answer["outcome"] == "reformulated"
    return [(line["ingredient"], line["after"]["measure"]) for line in answer["lines"]]


def ask_for_a_cylinder(page):
    page.fill("#lines", LINES)
    page.click("button[value=read]")
    page.click("#seen > summary")
    page.check("[name=keep][value=molasses]")
    page.check("[name=form][value=cylinder]")
    page.fill("[name='cylinder.diameter_mm']", "70")
    page.fill("[name='cylinder.wrap_degrees']", "120")
    page.fill("#thickness", "5 mm")
    page.click("summary:has-text('How you measure')")
    page.check("[name=measures][value=metric]")
    page.click("button.main[value=answer]")
    page.wait_for_selector(".card")


@pytest.mark.parametrize("scripts", [True, False])
def test_the_main_job(request, server, scripts):
    """Pasted lines, a kept one, a form and a measure give the interface's answer, line by line."""
    someone = request.getfixturevalue("visitor" if scripts else "scriptless")
    page = someone.go()
    ask_for_a_cylinder(page)
    lines = shown_lines(page)
    expected = expected_lines(server)
    assert [name for name, _, _ in lines] == [name for name, _ in expected]
    for (_, measure, _), (_, wanted) in zip(lines, expected, strict=True):
        assert measure == ("leave it out" if wanted == "none" else wanted)
    assert page.locator("#hero .dgh").count() == 2
    assert page.input_value("#lines").splitlines() == LINES.splitlines()
    assert page.is_checked("[name=keep][value=molasses]")


def test_a_link_within_the_page_takes_nothing_that_is_typed(visitor):
    """Going to a place of the same page asks the service for nothing, and so replaces nothing."""
    page = visitor.go()
    asked = []
    page.on("request", lambda request: asked.append((request.resource_type, request.method)))
    page.fill("#lines", "2 cups all-purpose flour")
    page.evaluate("location.hash = 'brief'")
    page.wait_for_timeout(700)
    assert ("fetch", "GET") not in asked
    assert page.input_value("#lines") == "2 cups all-purpose flour"


def test_the_keyboard_alone_does_the_job(visitor):
    """Without a mouse: past the head, the recipe typed, a form by arrow keys, the answer in focus.

    Every stop on the way shows that it has the focus.
    """
    page = visitor.go()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")

    def tab_to(selector, most=40):
        for _ in range(most):
            page.keyboard.press("Tab")
            outlined = "getComputedStyle(document.activeElement).outlineStyle !== 'none'"
            framed = "!!document.activeElement.closest('.forms label')"
            assert page.evaluate(f"{outlined} || {framed}")
            if page.evaluate("s => document.activeElement.matches(s)", selector):
                return
        raise AssertionError(f"{selector} is never reached")

    tab_to("#lines")
    page.keyboard.insert_text("2 cups all-purpose flour\n1 cup unsalted butter\n1/2 cup sugar")
    tab_to("[name=form]")
    for _ in range(7):
        page.keyboard.press("ArrowRight")
        if page.is_checked("[name=form][value=leaning_panel]"):
            break
    tab_to("#thickness")
    tab_to("button.main[value=answer]")
    page.keyboard.press("Enter")
    until(page, "document.activeElement.id === 'h-answer'", 30)
    top = page.evaluate("document.getElementById('h-answer').getBoundingClientRect().top")
    assert 0 <= top < 200


def test_lines_are_understood_while_they_are_typed(visitor):
    """Ratios follow the typing in place; a line in doubt says so; the cursor stays."""
    page = visitor.go()
    page.fill("#lines", "2 cups all-purpose flour\n1 cup (227 g) unsalted butter\na pinch of salt")
    page.wait_for_selector(".now", state="attached")
    assert "1.1" in page.text_content(".now div:first-child dd")
    assert "1 in doubt" in page.inner_text(".tally")
    page.locator("#lines").press_sequentially("\n1 egg")
    until(page, "document.querySelectorAll('.lines li').length === 4")
    assert page.evaluate("document.activeElement.id") == "lines"


def test_a_tick_outlives_an_answer_on_its_way(visitor):
    """A line kept while the typing before it is still being read stays kept."""
    page = visitor.go()
    page.fill("#lines", "2 cups all-purpose flour\n1 cup unsalted butter")
    page.click("#seen > summary")
    page.wait_for_load_state("networkidle")
    page.evaluate(
        "() => { const sent = fetch;"
        "window.fetch = async (...all) => { await new Promise(r => setTimeout(r, 600));"
        "return sent(...all); } }"
    )
    page.locator("#lines").press_sequentially("\n1 egg")
    page.wait_for_timeout(500)  # sent, and not yet answered
    page.check("[name=keep][value='unsalted butter']")
    until(page, "document.querySelectorAll('.lines li').length === 3")
    assert page.is_checked("[name=keep][value='unsalted butter']")


def test_sliders_move_the_proposal(visitor, server):
    """Rolling it thinner by hand shows the interface's chance for that sheet, at once."""
    page = visitor.go("/?example=lantern")
    page.locator("[id='hand.thickness']").fill("2")
    until(page, "document.getElementById('h-answer').innerText.includes('2 mm')")
    form = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
    target = {"form": form, "thickness_mm": 2}
    recipe = {"lines": [{"text": line} for line in LINES.splitlines()]}
    asked = {"recipe": recipe, "edits": [], "target": target}
    judged = httpx.post(f"{server.url}/v1/what-if", json=asked).json()
    assert judged["form"]["words"]["after"] in page.inner_text("#h-answer")
    page.click("button[value=apply]")
    until(page, "document.getElementById('thickness').value === '2 mm'")


def test_a_knob_is_dragged(visitor):
    """The knob on the sheet makes it thicker, the one on the ground the roll wider; back undoes."""
    page = visitor.go("/?example=lantern")
    page.set_viewport_size({"width": 1280, "height": 900})
    before = float(page.input_value("[id='hand.thickness']"))
    drag(page, "#hero .knob[data-for='hand.thickness']", 12, -20)
    until(page, f"+document.getElementById('hand.thickness').value > {before} + 1")
    page.wait_for_load_state("networkidle")
    drag(page, "#hero .knob[data-for='cylinder.diameter_mm']", 40, 0)
    until(page, "parseInt(document.getElementById('cylinder.diameter_mm').value) > 84")


def drag(page, knob, dx, dy):
    box = page.locator(f"{knob} .k").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx, y + dy, steps=4)
    page.mouse.up()


def test_limits_that_fight_give_way_at_a_button(visitor):
    """An infeasible brief offers its least way out; pressing it answers, and the form shows it."""
    page = visitor.go()
    visitor.fill_in_by_hand()
    page.click("summary:has-text('What must stay')")
    page.fill("#flour_change", "1")
    page.click("button[value=read]")
    page.click("#seen > summary")
    page.check("[name=keep][value='unsalted butter']")
    page.click("button.main[value=answer]")
    page.wait_for_selector(".ways-out")
    visitor.shoot("in_the_way")
    button = page.locator("[name=relax]").first
    changes = dict(parse_qsl(button.get_attribute("value")))
    button.click()
    page.wait_for_selector(".card")
    assert changes
    for field, value in changes.items():
        assert page.input_value(f"[name='{field}']") == value


def test_a_fault_stands_in_the_way_of_nothing_typed(visitor):
    """A faulty field is marked and told of, keeps its words, and the summary has the focus."""
    page = visitor.go()
    page.fill("#lines", LINES)
    page.fill("#thickness", "thin")
    page.click("button.main[value=answer]")
    page.wait_for_selector("#faults")
    assert page.input_value("#thickness") == "thin"
    assert page.get_attribute("#thickness", "aria-invalid") == "true"
    assert page.evaluate("document.activeElement.id") == "faults"
    visitor.shoot("faults")


def test_hostile_words_are_shown_as_words(visitor):
    """Markup in the title and in a line runs nothing and makes no element, typed or shared."""
    page = visitor.go()
    visitor.fill_in_by_hand()
    hostile = "<img src=x onerror=alert(1)><script>alert(2)</script>"
    page.click("summary:has-text('How you measure')")
    page.fill("#title", hostile)
    page.click("button.main[value=answer]")
    page.wait_for_selector("#h-card:has-text('onerror')")
    assert page.inner_text("#h-card") == hostile
    page.fill("#lines", f"{LINES}\n{hostile}")
    page.wait_for_selector(".lines .bad", state="attached")
    page.wait_for_load_state("networkidle")
    visitor.go(page.get_attribute("#share", "href"))
    assert page.inner_text("#h-card") == hostile
    assert page.locator("main script, main img[src=x]").count() == 0


def test_measures_are_remembered_on_the_device_alone(visitor):
    """The chosen measure is there on the next visit; nothing else is kept, and no cookie set."""
    page = visitor.go()
    page.click("summary:has-text('How you measure')")
    page.check("[name=measures][value=scale]")
    page.check("[name=lengths][value=in]")
    assert page.input_value("#thickness") == "5/32 in"
    visitor.go()
    assert page.is_checked("[name=measures][value=scale]")
    assert page.input_value("#lines") == ""
    assert sorted(page.evaluate("Object.keys(localStorage)")) == ["lengths", "measures"]
    assert page.context.cookies() == []


def test_the_card_can_be_taken_away(visitor):
    """As JSON-LD and as text, line for line; and the address of the answer brings it back."""
    page = visitor.go()
    visitor.fill_in_by_hand()
    page.click("button.main[value=answer]")
    page.wait_for_selector(".card")
    address = page.get_attribute("a[download]", "href")
    recipe = json.loads(unquote(address.partition(",")[2]))
    assert (recipe["@type"], len(recipe["recipeIngredient"])) == ("Recipe", 8)
    with page.expect_download() as download:
        page.click("a[download]")
    assert download.value.suggested_filename == "formhold-recipe.jsonld"
    text = page.input_value("#card-text")
    assert all(line in text for line in recipe["recipeIngredient"])
    assert page.url.endswith(page.get_attribute("#share", "href"))
    before = shown_lines(page)
    page.reload()
    assert shown_lines(page) == before


def test_enter_gives_the_answer(visitor):
    """Enter in any field presses the button that a visitor came for, and no other."""
    page = visitor.go("/?example=lantern")
    before = page.inner_text(".card tbody")
    page.locator("#thickness").press("Enter")
    until(page, "document.activeElement.id === 'h-answer'")
    assert page.inner_text(".card tbody") == before


def test_a_way_is_taken_in_place(visitor):
    """Use this on a card shows its recipe, and going back shows the one before."""
    page = visitor.go("/?example=lantern")
    before = page.inner_text("#h-answer")
    page.click(".way:not(.taken) .btn >> nth=1")
    until(page, "document.activeElement.id === 'h-card'")
    after = page.inner_text("#h-answer")
    assert after != before
    page.go_back()
    until(page, f"document.getElementById('h-answer').innerText === {json.dumps(before)}")
    page.go_forward()
    until(page, f"document.getElementById('h-answer').innerText === {json.dumps(after)}")


def test_a_dough_like_none_that_was_baked_gets_no_figures(visitor):
    """Without sugar nothing is known of the bend: the page says so, the sheet lies as rolled."""
    page = visitor.go("/?lines=300+g+flour%0A150+g+butter%0A1+egg&form=leaning_panel&do=answer")
    assert "No chance of a crack can be given" in page.inner_text("#answer .estimate")
    assert page.locator("#answer .dgh").count() == 2
    assert page.locator("#answer .whk, #answer .knob").count() == 0


def test_the_card_prints_alone(visitor):
    """On paper there is the card with its cautions, on one page, and nothing to press."""
    page = visitor.go("/?example=lantern")
    page.emulate_media(media="print")
    assert page.is_visible(".card")
    assert page.is_visible(".safety")
    assert page.is_visible(".card .drawing")
    for screen in ("#brief", "header", "footer", ".bars", ".slides", "[data-print]", ".ways"):
        assert not page.locator(screen).first.is_visible(), screen
    pdf = uncompressed(page.pdf(path=None, prefer_css_page_size=True))
    assert pdf.count(b"/Type /Page\n") == 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("wrap", ["150", "330"])
def test_the_templates_of_the_page_print_true_to_size(visitor, paper, wrap):
    """Of one sheet or of many, every page is the paper's size and its bar measures 100 mm."""
    recipe = "300+g+flour%0A150+g+butter%0A150+g+sugar"
    cone = "cone.base_diameter_mm=190+mm&cone.top_diameter_mm=60+mm&cone.height_mm=180+mm"
    form = f"form=cone&{cone}&cone.wrap_degrees={wrap}" if wrap == "330" else "form=cylinder"
    page = visitor.go(f"/?lines={recipe}&title=Lamp&{form}&do=answer")
    page.click(f"text=Flat template, {paper}")
    count = page.locator(".leaf").count()
    assert (count > 1) == (wrap == "330")
    printed = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    assert len(printed.pages) == count
    sides = sorted({"A4": (210, 297), "Letter": (215.9, 279.4)}[paper])
    for sheet in printed.pages:
        seen = [float(side) * 25.4 / 72 for side in (sheet.mediabox.width, sheet.mediabox.height)]
        assert sorted(seen) == pytest.approx(sides, abs=0.3)
        code = sheet.get_contents().get_data()
        assert has(rectangles_mm(code), 100, 2)


def _drawn(page):
    """Return how much of the page's markup is drawings."""
    return sum(map(len, page.locator("svg").evaluate_all("all => all.map(e => e.outerHTML)")))


@pytest.mark.parametrize("address", ["/", "/?example=lantern"])
def test_the_page_is_light(visitor, address):
    """Without its drawings the page weighs under 60 KB uncompressed, in few requests, no fonts."""
    visitor.weigh()
    page = visitor.go(address)
    page.wait_for_load_state("networkidle")
    pictures = [url for url in visitor.bytes_of if ".svg" in url]
    weight = sum(size for url, size in visitor.bytes_of.items() if url not in pictures)
    assert weight - _drawn(page) < MOST_BYTES
    assert len(visitor.bytes_of) == 3 + len(pictures) <= 5
    assert page.evaluate("document.fonts.size") == 0
