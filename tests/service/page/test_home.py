"""The page over HTTP: complete without scripts, kind about faults, and equal to the interface."""

import asyncio
import re
import struct
import threading
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode

import pytest

import service.page
from service.app import create_app
from service.page.rendering import CONTENT_SECURITY_POLICY
from tests.service.conftest import RunningApp

STATIC_FILES = Path(service.page.__file__).parent / "static"
HTML = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
LINES = "\r\n".join(
    [
        "3 1/2 cups all-purpose flour",
        "1 cup (227 g) unsalted butter",
        "1 egg",
        "3/4 cup packed brown sugar",
        "1/3 cup molasses",
        "1 1/2 tsp baking soda",
        "1 tbsp ground ginger",
        "1/2 tsp salt",
    ]
)
BY_HAND = {
    "title": "Lantern ginger dough",
    "lines": LINES,
    "form": "none",
    "flour_to_fat.min": "2.1",
    "flour_to_fat.max": "2.4",
    "soda_equivalent_percent.max": "1",
    "keep": "molasses",
    "flour_change": "15",
    "do": "answer",
}


def send(client, fields, **headers):
    sent = {"Content-Type": "application/x-www-form-urlencoded", **headers}
    return client.post("/", content=urlencode(fields).encode(), headers=sent)


def test_a_browser_gets_the_page_and_a_program_the_addresses(client):
    """By Accept, the front door is a page or JSON; who takes anything gets the page."""
    page = client.get("/", headers=HTML)
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert "<h1>" in page.text
    assert client.get("/", headers={"Accept": "*/*"}).text == page.text
    asked = client.get("/", headers={"Accept": "application/json"})
    assert asked.json()["openapi"] == "/openapi.json"
    assert "Accept" in page.headers["vary"]


def test_the_page_lets_in_nothing_from_elsewhere(client):
    """The policy is strict, and the page has no script, style or handler of its own inside."""
    page = client.get("/?example=lantern", headers=HTML)
    assert page.headers["content-security-policy"] == CONTENT_SECURITY_POLICY
    assert not re.search(r"<style|style=|\son\w+=|<script(?![^>]*src=\"/page/)", page.text)
    assert not re.search(r"(?:src|href|action)=\"(?:https?:)?//", page.text)


def test_the_page_answers_as_the_interface_does(client):
    """The measures and grams on the card are those of the same brief asked as JSON."""
    brief = {
        "recipe": {"lines": [{"text": line} for line in LINES.split("\r\n")]},
        "window": {
            "flour_to_fat": {"min": 2.1, "max": 2.4},
            "soda_equivalent_percent": {"max": 1},
        },
        "limits": {"keep": ["molasses"], "max_flour_change_percent": 15},
    }
    answer = client.post("/v1/reformulations", json=brief).json()
    moved = {line["ingredient"]: line for line in answer["lines"] if line["moved"]}
    page = send(client, BY_HAND).text
    rows = re.findall(
        r'<tr class="moved">\s*<th scope="row">(.*?)</th>\s*<td>.*?<ins>(.*?)</ins></td>\s*'
        r'<td class="grams">.*?<ins>(.*?)\u00a0g</ins></td>',
        page,
    )
    assert {name for name, _, _ in rows} == set(moved)
    for name, measure, grams in rows:
        assert measure == moved[name]["after"]["measure"]
        assert float(grams) == pytest.approx(moved[name]["after"]["grams"], abs=0.5)


def test_what_was_typed_comes_back(client):
    """Every field stands in the answer as it was typed, faulty ones too, with the fault beside."""
    typed = {**BY_HAND, "flour_to_fat.min": "two", "pieces": "5 or so", "form": "wave"}
    page = send(client, {**typed, "wave.crest_radius_mm": "a thumb"}).text
    for value in ("two", "5 or so", "a thumb"):
        assert f'value="{value}"' in page
    for name in ("flour_to_fat.min", "pieces", "wave.crest_radius_mm"):
        assert f'aria-describedby="{name}-fault"' in page
    assert 'id="h-card"' not in page


def test_a_line_that_is_none_of_the_dough_is_named(client):
    """A heading is set aside where it stands, with its reason, and the rest is answered."""
    page = send(client, {**BY_HAND, "lines": "For the dough:\r\n\r\n2 cups flour"}).text
    assert "For the dough:" in page
    assert "Set aside:" in page


def test_doubt_is_shown_with_what_to_do(client):
    """A line read with doubt says what was taken, and how to be plainer."""
    page = send(client, {"lines": "2 cups flour\r\na pinch of salt", "do": "read"}).text
    assert "1 in doubt" in page
    assert "0.4 g" in page
    assert "spoons or grams would be exact" in page


@pytest.mark.parametrize("hostile", ['<img src=x onerror="alert(1)">', "</textarea><script>x"])
def test_hostile_words_stay_words(client, hostile):
    """Markup in a title, a line, a name or a choice is shown as text."""
    fields = {**BY_HAND, "title": hostile, "lines": f"{LINES}\r\n{hostile}", "form": hostile}
    page = send(client, {**fields, "keep": hostile, "thickness": hostile, "measures": hostile})
    assert page.status_code == 200
    assert hostile not in page.text
    assert "&lt;" in page.text


@pytest.mark.parametrize(
    "body",
    [b"", b"&&&===", b"%", b"\xff\xfe=\x00", b"lines=%00%ff&do=answer", b"relax=%&do=answer",
     b"do=answer&lines=1+egg&relax=keep%3D1", b"do=apply",
     b"do=apply&lines=2+cups+flour&proposal=[1]&hand.flour=nan",
     b"proposal=[%22x%22,[{%22text%22:%221+egg%22}],1e999,1]&lines=2+cups+flour",
     b"lines=" + b"1+egg%0A" * 300 + b"&do=answer", b"example=nothing",
     b"do=answer&form=cylinder&lines=2+cups+flour&thickness=" + b"9" * 400,
     b"do=answer&form=wave&wave.crests=1.5&lines=2+cups+flour",
     b"lines=2+cups+flour&do=answer&form=none&crack_chance_percent.max=20",
     b"lines=2+cups+flour&do=answer&most.all-purpose+flour=1e9"],
)  # fmt: skip
def test_no_form_breaks_the_page(client, body):
    """Whatever a form holds, the page comes back and says what is wrong with it."""
    sent = {"Content-Type": "application/x-www-form-urlencoded"}
    for path in ("/", "/page/understood", "/page/moved"):
        answer = client.post(path, content=body, headers=sent)
        assert answer.status_code == 200, (path, answer.text)
        assert answer.headers["content-type"].startswith("text/html")


def test_what_is_no_form_is_refused_as_a_page(client):
    """JSON, a body too large and too many fields are refused with a page that says why."""
    plain = {"Content-Type": "application/x-www-form-urlencoded"}
    assert client.post("/", json={}).status_code == 415
    assert client.post("/", content=b"a" * 1_000_001, headers=plain).status_code == 413
    many = client.post("/", content=b"a=1&" * 2000, headers=plain)
    assert many.status_code == 413
    assert 'role="alert"' in many.text


async def somebody_at_work(pool, held):
    """Take the only place for somebody else, until it is let go."""
    at_work = asyncio.create_task(pool.run(lambda _: held.wait(30), asyncio.Event().wait()))
    await asyncio.sleep(0)
    return at_work


def test_a_full_house_loses_nothing_typed(client, settings):
    """Where no worker is free, the page says so with 503 and holds all that was typed."""
    with RunningApp(create_app(replace(settings, workers=1, queue_length=0))) as busy:
        held = threading.Event()
        busy.wait_for(somebody_at_work(busy.app.state.wiring.pool, held))
        page = send(busy, {**BY_HAND, "most.brown sugar": "7"})
        held.set()
    assert page.status_code == 503
    assert page.headers["retry-after"]
    assert "is busy" in page.text
    for value in ("Lantern ginger dough", "molasses", "7", "2.4"):
        assert f'value="{value}"' in page.text
    assert LINES.replace("\r\n", "\n") in page.text.replace("\r\n", "\n")


def test_a_shared_address_brings_the_answer_back(client):
    """The address that the page offers gives the same card, and holds all that was typed."""
    page = send(client, BY_HAND).text
    address = re.search(r'id="share" href="([^"]+)"', page)[1].replace("&amp;", "&")
    shared = client.get(address.removesuffix("#answer"), headers=HTML).text
    card = re.compile(r"<article.*?</article>", re.DOTALL)
    assert card.search(shared)[0] == card.search(page)[0]


def test_a_limit_gives_way_at_a_button(client):
    """Where limits fight, sending a button's value back gives an answer."""
    tight = {**BY_HAND, "flour_change": "1", "most.unsalted butter": "1"}
    page = send(client, tight).text
    assert "Not within these limits" in page
    changes = re.findall(r'name="relax" value="([^"]+)"', page)
    assert changes
    for change in changes:
        eased = send(client, {**tight, "relax": change.replace("&amp;", "&")}).text
        assert "The smallest change that does it" in eased


def test_every_example_is_answered(client):
    """Each dough of Wickhollow gets its answer or its way out."""
    for example in ("lantern", "chimney", "harbour"):
        page = client.get(f"/?example={example}", headers=HTML)
        assert page.status_code == 200
        assert 'id="answer"' in page.text


def test_the_pictures_are_those_of_the_interface(client):
    """The template comes from the address in the page, with a policy of its own."""
    page = client.get("/?example=chimney", headers=HTML).text
    template = re.search(r'href="(/page/template\?[^"]+)"', page)[1].replace("&amp;", "&")
    picture = client.get(template)
    assert picture.status_code == 200, picture.text
    assert picture.text.count("<svg xmlns") == 1
    assert picture.headers["content-security-policy"] == CONTENT_SECURITY_POLICY
    assert client.get("/page/template?q=%7B").status_code == 400
    code = client.get(re.search(r'src="(/page/code.svg[^"]+)"', page)[1].replace("&amp;", "&"))
    assert code.headers["content-type"].startswith("image/svg+xml")


def test_the_files_of_the_page_are_small_and_its_own(client):
    """A stylesheet, a module under 12 KB, an icon and a preview; no other file can be had."""
    css, js = client.get("/page/page.css"), client.get("/page/page.js")
    assert css.headers["content-type"].startswith("text/css")
    assert js.headers["content-type"].startswith("text/javascript")
    assert len(js.content) < 12_000
    assert client.get("/page/favicon.svg").headers["content-type"] == "image/svg+xml"
    assert "@font-face" not in css.text
    assert "url(" not in css.text
    assert client.get("/page/page.html").status_code == 404
    assert client.get("/page/..%2Frendering.py").status_code == 404


def test_the_preview_is_a_picture_at_a_whole_address(client):
    """Who shares the page shows a PNG of the usual size, that says what the page says of it."""
    page = client.get("/", headers=HTML).text
    address = re.search(r'property="og:image" content="([^"]+)"', page)[1]
    assert address.startswith("http")
    picture = client.get(address[address.index("/page/") :])
    assert picture.headers["content-type"] == "image/png"
    assert picture.content.startswith(b"\x89PNG\r\n\x1a\n")
    assert struct.unpack(">II", picture.content[16:24]) == (1200, 630)
    drawn = (STATIC_FILES / "preview.svg").read_text()
    for said in re.findall(r"(\d) mm: (about \d in 10) crack", drawn):
        assert re.search(rf"{said[0]} mm.*?{said[1]}", page, re.DOTALL)
    assert drawn.count(" crack") == 2


def test_a_doubtful_line_is_settled_in_place(client):
    """A line is left out, or told what it is and weighs; the answer takes it so."""
    doubtful = {**BY_HAND, "lines": f"{LINES}\r\na knob of something yellow\r\na pinch of cloves"}
    told = {"is.a knob of something yellow": "unsalted butter"}
    told |= {"grams.a knob of something yellow": "25", "out": "a pinch of cloves"}
    page = send(client, {**doubtful, **told}).text
    assert "As you said:" in page
    rows = re.findall(r'<th scope="row">(.*?)</th>', page)
    assert rows.count("unsalted butter") == 2
    assert not any("clove" in row for row in rows)
    wrong = send(
        client, {**doubtful, **told, "is.a knob of something yellow": "buttter of the moon"}
    )
    assert 'id="faults"' in wrong.text
