"""The ways of a form: in the trade's order, one recommended, and nothing against anything else."""

import html
import re

import pytest

from tests.service.page.test_home import HTML, LINES, send

ON_ROLL = {
    "lines": LINES,
    "form": "cylinder",
    "cylinder.diameter_mm": "80 mm",
    "cylinder.wrap_degrees": "150",
    "thickness": "4 mm",
    "do": "answer",
}
CHANCE = r"(?:[Aa]bout \d in \d+|[Ff]ewer than 1 in 50|[Nn]early all|[Mm]ore than 9 in 10)"
ORDER = ["As it is", "Thinner", "Chilled", "Less leavening", "A little flour", "Together"]


def text_of(markup):
    """Return what a person reads of some markup."""
    plain = re.sub(r"<(svg|textarea).*?</\1>", " ", markup, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", plain)).split())


def part(page, pattern):
    return text_of(re.search(pattern, page, re.DOTALL)[0])


def cards_of(page):
    return re.findall(r'<li class="way.*?</li>', page, re.DOTALL)


def chances(text):
    return [found[0].lower() + found[1:] for found in re.findall(CHANCE, text)]


def api_brief(thickness=4):
    form = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
    target = {"form": form, "thickness_mm": thickness, "may_roll_to_mm": 2, "may_chill": True}
    return {"recipe": {"lines": [{"text": t} for t in LINES.split("\r\n")]}, "target": target}


def test_the_recommended_way_is_the_answer_of_the_interface(client):
    """Thickness, chance, growth and every amount are those of the same brief asked as JSON."""
    answer = client.post("/v1/reformulations", json=api_brief()).json()
    page = send(client, ON_ROLL).text
    best = next(card for card in cards_of(page) if "Try this first" in card)
    form = answer["form"]
    assert answer["target"]["after"]["measure"] in text_of(best)
    assert chances(text_of(best))[0] == form["words"]["after"]
    assert f"grows {form['growth_mm']['after']['value']:.1f} mm" in text_of(best)
    rows = re.findall(r'<th scope="row">(.*?)</th>\s*<td>.*?<ins>(.*?)</ins>', page)
    assert rows == [(line["ingredient"], line["after"]["measure"]) for line in answer["lines"]]


@pytest.mark.parametrize("query", ["example=lantern", "example=chimney", "example=harbour"])
def test_the_figures_of_a_page_agree(client, query):
    """Every chance, thickness and growth of a page, however often it is told, is told the same."""
    page = client.get(f"/?{query}", headers=HTML).text
    cards = [text_of(card) for card in cards_of(page)]
    titles = [title for title in ORDER if any(f" {title} " in f" {card} " for card in cards)]
    assert len(titles) == len(cards) <= 4
    assert titles[0] == "As it is"
    written = chances(cards[0])[0]
    taken = next(card for card in cards if "Try this first" in card)
    proposed = chances(taken)[0]
    headline = part(page, r'<h2 id="h-answer".*?</h2>')
    stays = taken == cards[0]
    assert chances(headline) == ([written] if stays else [proposed, written])
    sides = part(page, r'<div class="tens-pair">.*?</div>\s*</div>')
    assert chances(sides)[:2] == [written, proposed]
    bar = part(page, r'<p id="bar-say">.*?</p>')
    assert chances(bar) == [proposed]
    card = part(page, r'<article class="card".*?</article>')
    assert chances(card) == [proposed]
    if stays:
        return
    thickness = re.search(r"to (\d[\d/. ]* (?:mm|in))", headline)[1]
    assert f"Roll it to {thickness}" in taken
    assert f"Roll to {thickness}" in card
    grew = re.search(r"A flat piece grows ([\d.]+) mm instead of ([\d.]+)", text_of(page))
    assert [re.search(r"grows ([\d.]+) mm", each)[1] for each in (taken, cards[0])] == [
        *grew.groups()
    ]
    limit = 20
    for each in cards:
        over = "Over your limit" in each or "Not enough alone" in each
        tenths = int((re.search(r"about (\d+) in 10", chances(each)[0]) or [0, "0"])[1])
        assert over == (10 * tenths > limit), each


def test_no_figure_of_the_page_is_finer_than_it_is_worth(client):
    """No number that a person reads has more than three figures after its point."""
    for example in ("lantern", "chimney", "harbour"):
        page = text_of(client.get(f"/?example={example}", headers=HTML).text)
        assert not re.search(r"\d\.\d{4,}", page)


def test_another_way_is_taken_at_its_button(client):
    """Use this on a card makes its recipe the card and the picture; the address holds it."""
    page = send(client, ON_ROLL).text
    less = next(card for card in cards_of(page) if "Less leavening" in card)
    code = re.search(r'name="way" value="(\w+)"', less)[1]
    fields = "&".join(f"{k}={v}" for k, v in ON_ROLL.items() if k not in {"lines", "do"})
    body = f"{fields}&lines={LINES.replace(chr(13) + chr(10), '%0A')}&way=&way={code}"
    sent = {"Content-Type": "application/x-www-form-urlencoded"}
    taken = client.post("/", content=body.encode(), headers=sent).text
    assert "<del>1 1/2 tsp</del>" in taken
    assert chances(part(taken, r'<h2 id="h-answer".*?</h2>'))[0] == chances(text_of(less))[0]
    share = re.search(r'id="share" href="([^"]+)"', taken)[1]
    assert f"way={code}" in share


def test_a_sheet_that_must_stay_is_not_rolled_thinner(client):
    """With the thickness kept, no way rolls thinner."""
    page = send(client, {**ON_ROLL, "stay.thickness": "yes"}).text
    assert not any("Roll it to" in text_of(card) for card in cards_of(page))
    assert len(cards_of(page)) >= 2


def test_what_is_made_my_recipe_is_the_recipe(client):
    """Applying the proposal writes its lines and its sheet into the question."""
    page = send(
        client, {**ON_ROLL, "do": "apply", "hand.thickness": "2.5", "hand.flour": "10"}
    ).text
    assert "481 g all-purpose flour" in part(page, r'<form id="brief".*') or (
        "481 g all-purpose flour" in page
    )
    assert 'name="thickness" value="2.5 mm"' in page
    assert "As it is" in part(page, r'<h2 id="h-answer".*?</h2>')


def test_a_fresh_page_shows_an_answer(client):
    """Before anything is typed there is a picture and its answer, for our own dough."""
    page = client.get("/", headers=HTML).text
    assert "hero-svg" in page
    assert "until you paste yours" in page
    assert len(cards_of(page)) >= 2
    assert re.search(r'<textarea id="lines"[^>]*>\s*</textarea>', page)
