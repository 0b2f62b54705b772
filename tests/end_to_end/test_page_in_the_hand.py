"""The page in the hand: narrow, touched, moved, and pasted full of what nobody expects."""

import pytest

from tests.end_to_end.visiting import LINES, until, visiting
from tests.end_to_end.visiting import chromium as chromium

DOUGH = "500 g flour\n200 g butter\n150 g sugar\n"
PASTED = {
    "a book": "\n".join(f"{n} g flour" for n in range(1, 501)),
    "as long as may be": DOUGH + "\n".join(f"{n} g sugar" for n in range(1, 198)),
    "pictures": DOUGH + "🧈🧈 2 tbsp 🍯 honey\n👩‍🍳 1 egg 🥚",
    "from right to left": DOUGH + "٢ ملعقة كبيرة عسل\n2 tbsp עוגיות דבש חמות",
    "one long word": DOUGH + "2 tbsp " + "x" * 400 + "\n" + "unbreakable" * 60,
    "a long title": "W" * 290 + "\n" + DOUGH,
    "controls": DOUGH + "1 tsp salt\x01\x02\n\u202e1 tbsp honey",
    "a line beyond measure": "a" * 3000 + "\n" + DOUGH,
}

CLIPPED = """() => [...document.querySelectorAll('button, a, summary, label, h1, h2, h3')]
  .filter(e => e.checkVisibility() && !e.closest('.unseen, .forms, .wide, .on-enter, .skip'))
  .filter(e => e.getBoundingClientRect().right > innerWidth + 1 || e.scrollWidth > e.clientWidth + 1
               && getComputedStyle(e).display !== 'inline')
  .map(e => e.outerHTML.slice(0, 120))"""

SMALL = """() => [...document.querySelectorAll('a, button, input, select, textarea, summary, .hit')]
  .filter(e => e.type !== 'hidden' && e.checkVisibility() && !e.closest('.unseen'))
  .filter(e => !e.matches('.on-enter, .skip'))
  .map(e => [e, (e.matches('[type=radio],[type=checkbox]') ? e.closest('label') : e)
                .getBoundingClientRect()])
  .filter(([e, box]) => box.width && (box.width < 43.5 || box.height < 43.5))
  .map(([e, box]) => e.outerHTML.slice(0, 100) + ' ' + box.width + ' by ' + box.height)"""


@pytest.fixture
def phone(chromium, server):
    """Someone with the smallest phone there is, who touches it."""
    size = {"width": 320, "height": 640}
    with visiting(chromium, server, viewport=size, has_touch=True, is_mobile=True) as someone:
        yield someone


def unfold(page):
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")


@pytest.mark.parametrize("name", PASTED)
def test_whatever_is_pasted_the_page_stays_whole(phone, name):
    """Nothing runs off a screen of 320 px, no button is clipped, and what is wrong is said in our
    own words, before an answer and after it; what was pasted is still there."""
    page = phone.go()
    page.fill("#lines", PASTED[name])
    page.locator(".bar .btn").click()
    until(page, "document.querySelector('.answered, #faults')", 30)
    page.wait_for_load_state("networkidle")
    unfold(page)
    width = "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    assert page.evaluate(width)
    assert page.evaluate(CLIPPED) == []
    faults = page.locator("#faults").inner_text() if page.locator("#faults").count() else ""
    assert bool(faults) == (name in {"a book", "a line beyond measure"})
    assert not any(word in faults for word in ("pydantic", "Value error", "/recipe", "Traceback"))
    if name == "a book":
        assert "500 lines" in faults
        assert "200 at most" in faults
    kept = page.input_value("#lines").replace("\r\n", "\n")
    assert kept == PASTED[name].replace("\r\n", "\n")
    phone.shoot(f"pasted_{name.replace(' ', '_')}")


@pytest.mark.parametrize("address", ["/", "/?example=lantern", "/?example=chimney#brief"])
def test_what_is_touched_is_large_enough(phone, address):
    """Every control is at least 44 px high and wide, or its label is."""
    page = phone.go(address)
    unfold(page)
    assert page.evaluate(SMALL) == []


def test_on_a_phone_the_ways_come_before_the_sliders(phone):
    """The question is folded, the answer stands at the top, its ways follow, then the sliders; the
    bar at the foot holds the one-line answer all the while."""
    page = phone.go("/?example=lantern")
    tops = "ids => ids.map(id => document.querySelector(id).getBoundingClientRect().top)"
    order = ["#h-answer", ".hero", "#ways", ".slides", "#card"]
    places = page.evaluate(tops, order)
    assert places == sorted(places)
    assert places[0] < 320
    assert "in 10" in page.inner_text(".bar")
    bar = page.evaluate("document.querySelector('.bar').getBoundingClientRect().bottom")
    assert bar == pytest.approx(640, abs=1)


def test_one_sentence_is_said_when_the_proposal_rests(chromium, server):
    """While a slider moves nothing is announced; at rest the heading is, once, and nothing else."""
    with visiting(chromium, server) as visitor:
        page = visitor.go("/?example=lantern")
        page.evaluate(
            "() => { window.heard = []; new MutationObserver(all => heard.push(...all.map("
            "one => one.target.textContent))).observe(document.getElementById('told'),"
            "{childList: true, characterData: true, subtree: true}); }"
        )
        for thickness in ("2.8", "2.6", "2.4", "2.2"):
            page.locator("[id='hand.thickness']").fill(thickness)
            page.wait_for_timeout(60)
        until(page, "heard.length > 0")
        page.wait_for_timeout(300)
        said = page.evaluate("[...new Set(heard)]")
        assert said == [page.inner_text("#h-answer")]
        assert "2.2 mm" in said[0]
        live = page.locator("[role=status], [role=alert], [aria-live]")
        assert {each.get_attribute("id") for each in live.all()} == {"told", "status"}
        assert page.inner_text("#status") == ""


def test_a_late_answer_is_marked_as_out_of_date(chromium, server):
    """Until the new answer comes the old one stays, says that it is old, and is busy."""
    with visiting(chromium, server) as visitor:
        page = visitor.go("/?example=lantern")
        page.evaluate(
            "() => { const sent = fetch; window.fetch = async (...all) => {"
            "await new Promise(r => setTimeout(r, 1500)); return sent(...all); } }"
        )
        before = page.inner_text("#h-answer")
        page.fill("#thickness", "6 mm")
        page.wait_for_selector("#answer[aria-busy=true] .old")
        assert page.inner_text("#h-answer") == before
        assert "asked before" in page.inner_text("#answer .old")
        until(page, f"document.getElementById('h-answer').innerText !== {before!r}", 20)
        until(page, "!document.querySelector('#answer.stale')")
        assert not page.is_visible("#answer .old")


def test_what_was_moved_or_applied_is_undone(chromium, server):
    """Undo puts the sliders back where they started, and the recipe back as it was pasted."""
    with visiting(chromium, server) as visitor:
        page = visitor.go("/?example=lantern")
        before = page.inner_text("#h-answer")
        page.locator("[id='hand.flour']").fill("15")
        until(page, "document.getElementById('h-answer').innerText.includes('by hand')")
        page.click("[data-do=unmove]")
        until(page, "!document.getElementById('h-answer').innerText.includes('by hand')")
        assert page.inner_text("#h-answer") == before
        assert page.input_value("[id='hand.flour']") == "0"
        page.locator("[id='hand.flour']").fill("15")
        until(page, "document.getElementById('h-answer').innerText.includes('by hand')")
        page.click("button[value=apply]")
        until(page, "document.getElementById('lines').value.includes(' g all-purpose flour')")
        page.click("[data-do=visit]")
        until(page, "document.getElementById('lines').value.startsWith('3 1/2 cups')")
        assert page.input_value("#lines").split("\n") == LINES.split("\n")


@pytest.mark.parametrize("motion", ["reduce", "no-preference"])
def test_drawings_move_only_for_who_wants_it(chromium, server, motion):
    """The sheet follows a slider in a quarter of a second; at once where motion is to be reduced.

    Before and after stand at one scale: the knob's own sheet grows, the written one stays.
    """
    with visiting(chromium, server, reduced_motion=motion) as visitor:
        page = visitor.go("/?example=lantern")
        seconds = "getComputedStyle(document.querySelector('#hero .dgh')).transitionDuration"
        assert page.evaluate(seconds) == ("0s" if motion == "reduce" else "0.24s")
        sheets = "[...document.querySelectorAll('#hero .dgh')].map(e => e.getAttribute('d'))"
        written, proposed = page.evaluate(sheets)
        page.locator("[id='hand.thickness']").fill("2")
        until(page, "document.getElementById('h-answer').innerText.includes('2 mm')")
        assert page.evaluate(sheets)[0] == written
        assert page.evaluate(sheets)[1] != proposed


def test_help_opens_where_it_is_asked_for(chromium, server):
    """What the words mean stands in the question once it is opened, by keyboard too; without
    scripts a link leads to it."""
    with visiting(chromium, server) as visitor:
        page = visitor.go("/")
        assert "baking soda is" not in page.content()
        page.locator("#fold-help > summary").press("Enter")
        page.wait_for_selector("#fold-help #words")
        assert "half way round" in page.inner_text("#fold-help")
    with visiting(chromium, server, java_script_enabled=False) as visitor:
        page = visitor.go("/?lang=de")
        page.click("#fold-help > summary")
        page.click("#fold-help a")
        assert "halb herum" in page.inner_text("#words")
