"""One story: whatever a page tells of a dough, it tells the same wherever, and as the interface.

The figures are read off the page as a visitor reads them; what they should be is asked as JSON.
"""

import html
import re

import pytest

from models.chance import chance_figure, range_figure
from tests.service.page.test_home import HTML, LINES, send
from tests.service.page.test_ways import (
    CHANCE,
    ON_ROLL,
    api_brief,
    cards_of,
    chances,
    part,
    text_of,
)

RANGE = r"much the same in every kitchen|(?:hardly any|\d+) to (?:almost all|\d+ in 10), by kitchen"

BRIEFS = {
    "as it comes": {},
    "another way": {"way": "less_leavening"},
    "as it is": {"way": "as_it_is"},
    "a strict limit": {"crack_chance_percent.max": "8"},
    "a loose limit": {"crack_chance_percent.max": "35"},
    "by hand": {"hand.thickness": "2.2", "hand.flour": "12"},
    "a batch": {"pieces": "24"},
    "a wave": {"form": "wave", "thickness": "5 mm"},
    "leaning": {"form": "leaning_panel", "thickness": "6 mm"},
    "in inches": {"thickness": "3/16 in"},
    "a food nobody knows": {"lines": f"{LINES}\r\n2 tbsp zorbleberry paste"},
    "as thick as it may be": {"stay.thickness": "yes", "stay.warm": "yes", "flour_change": "1"},
}


def page_of(client, changed):
    return send(client, {**ON_ROLL, **changed}).text


def figures_of(page):
    """Return the rows of the table of figures, by the name of the way."""
    table = re.search(r'<details class="fold" id="figures">.*?</details>', page, re.DOTALL)[0]
    rows = re.findall(r"<tr><th scope=\"row\">.*?</tr>", table)
    cells = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in rows]
    return {name: rest for name, *rest in (map(html.unescape, each) for each in cells)}


def name_of(card):
    return text_of(re.search(r"<h3>(.*?)</h3>", card)[1])


@pytest.mark.parametrize("name", BRIEFS)
def test_two_answers_on_one_page_do_not_differ(client, name):
    """Headline, picture, pieces, bar, cards, table and card to print tell one chance, one range,
    one thickness, one stretch and one growth of each dough."""
    page = page_of(client, BRIEFS[name])
    cards = {name_of(card): card for card in cards_of(page)}
    table = figures_of(page)
    assert list(table) == list(cards)
    by_hand = any(field.startswith("hand.") for field in BRIEFS[name])
    taken = next(card for card in cards.values() if "taken" in card.split(">")[0])
    written = text_of(cards["As it is"])
    hero = re.search(r'<div class="hero">.*?</div>\s*<svg', page, re.DOTALL)[0]
    left, right = (text_of(side) for side in hero.split('<div class="cap r">'))
    pieces = re.search(r'<div class="tens-pair">(.*?)<p class="small">', page, re.DOTALL)[1]
    was, now = (text_of(side) for side in re.findall(r"<div><p>.*?</svg></div>", pieces))

    def told(text):
        return chances(text)[0], re.search(RANGE, text)[0].strip()

    assert told(was) == told(written)
    if not by_hand:
        assert told(now) == told(text_of(taken))
        assert right.startswith(f"{name_of(taken)} {table[name_of(taken)][0]}")
        assert chances(part(page, r'<article class="card".*?</article>')) == [told(now)[0]]
    headline = part(page, r'<h2 id="h-answer".*?</h2>')
    both = [told(now)[0], told(was)[0]]
    assert chances(headline) in (both, both[:1])
    assert (len(chances(headline)) == 1) == (both[0] == both[1])
    assert chances(part(page, r'<p id="bar-say">.*?</p>')) == both[:1]
    spoken = text_of(re.search(r'class="hero-svg".*?<desc>(.*?)</desc>', page)[1])
    stretches = re.findall(r"((?:under )?\d+ %) stretch", f"{left} {right}")
    assert re.findall(r"by ((?:under )?\d+ %)", spoken) == stretches
    flat = re.search(r'<span class="growth">(.*?)</span>', page)[1]
    assert _growth(text_of(cards["As it is"])) in flat
    if not by_hand:
        assert _growth(text_of(taken)) in flat


def _growth(text):
    return re.search(r"grows ([\d.]+) mm", text)[1]


@pytest.mark.parametrize("name", ["as it comes", "a wave", "in inches", "a food nobody knows"])
def test_each_chance_is_that_of_the_interface(client, name):
    """What the recipe as written does, and every way with its amounts, is judged alike as JSON."""
    changed = {**ON_ROLL, **BRIEFS[name]}
    page = page_of(client, BRIEFS[name])
    for card in cards_of(page):
        code = re.search(r'name="way" value="(\w+)"', card)[1]
        taken = page_of(client, {**BRIEFS[name], "way": code})
        shown = figures_of(taken)[name_of(card)]
        judged = _judged(client, taken, changed)
        chance = judged["form"]["chance_percent"]["after"]
        assert shown[1].replace("\u00a0", " ") == chance_figure(chance["value"])
        assert shown[2].replace("\u00a0", " ") == range_figure(chance["low"], chance["high"])
        assert chances(text_of(card))[0] == judged["form"]["words"]["after"]
        assert shown[3].startswith(_mm(judged["form"]["growth_mm"]["after"]["value"]))


def _mm(value):
    return f"{value:.1f}" if value < 10 else f"{value:.0f}"


def _judged(client, page, changed):
    """Return what the interface says of the dough and sheet of the way that `page` has taken."""
    text = re.search(r'<textarea id="card-text"[^>]*>\n(.*?)</textarea>', page, re.DOTALL)[1]
    lines = html.unescape(text).split("\n\n")[1].splitlines()
    proposal = html.unescape(re.search(r'name="proposal" value="([^"]*)"', page)[1])
    thickness, chilled = re.search(r",([\d.]+),(true|false)\]$", proposal).groups()
    forms = {
        "cylinder": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
        "wave": {"kind": "wave", "crest_radius_mm": 25, "slope_degrees": 40},
        "leaning_panel": {
            "kind": "leaning_panel",
            "width_mm": 80,
            "height_mm": 120,
            "lean_degrees": 20,
        },
    }
    target = {
        "form": forms[changed["form"]],
        "thickness_mm": float(thickness),
        "chilled": chilled == "true",
    }
    asked = {"recipe": {"lines": [{"text": t} for t in lines]}, "edits": [], "target": target}
    answer = client.post("/v1/what-if", json=asked)
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.mark.parametrize(
    "lines",
    [
        "300 g flour\n150 g butter\n1 egg",
        "300 g flour\n100 g sugar\n120 g water\n2 tsp baking soda",
    ],
)
def test_beyond_experience_no_chance_is_told(client, lines):
    """A dough unlike any known gets its sheet as rolled, what is unusual and what bakers try, in
    the trade's order; no chance, nothing that is likely, and no figure of the bend."""
    page = page_of(client, {"lines": lines.replace("\n", "\r\n")})
    answer = part(page, r'<section id="answer".*?</section>')
    assert "No chance is known" in answer
    assert "What is unusual" in answer
    assert re.findall(CHANCE, answer) == []
    assert "likely to stand" not in text_of(page)
    assert 'class="dgh"' in page
    assert 'class="whk' not in page
    recipe = {"lines": [{"text": text} for text in lines.split("\n")]}
    ladder = client.post("/v1/ladders", json={**api_brief(), "recipe": recipe}).json()["ladder"]
    steps = re.search(r'<ol class="steps">(.*?)</ol>', page, re.DOTALL)[1].split("</li>")[:-1]
    assert [step["code"] for step in ladder["steps"]][: len(steps)] == [
        {"Thinner": "thinner", "Less leavening": "less_leavening", "A little flour": "little_flour"}
        .get(re.search(r"<b>(.*?)\.</b>", step)[1], "thinner_several_changes")
        for step in steps
    ]  # fmt: skip
    assert len(steps) == len(ladder["steps"]) >= 3


@pytest.mark.parametrize("limit", [{"lean": "safer"}, {"crack_chance_percent.max": "40"}])
def test_a_limit_on_a_chance_that_nobody_knows_is_let_go(client, limit):
    """The dough is answered as without it, and what was typed stays."""
    lines = "300 g flour\r\n150 g butter\r\n1 egg"
    page, plain = page_of(client, {"lines": lines, **limit}), page_of(client, {"lines": lines})
    assert part(page, r'<section id="answer".*?</section>') == part(
        plain, r'<section id="answer".*?</section>'
    )
    (name, value), *_ = limit.items()
    assert re.search(rf'name="{name}"[^>]*value="{value}"', page)


def test_a_pasted_page_is_answered_as_it_is_read(client):
    """The recipe in a web page's source is what the answer is of, not the lines of its markup."""
    items = "".join(f'"{line}",' for line in LINES.split("\r\n"))[:-1]
    source = (
        '<html><script type="application/ld+json">{"@type": "Recipe", "name": "Lamp dough", '
        f'"recipeIngredient": [{items}]}}</script><p>Some words of no use.</p></html>'
    )
    pasted, typed = page_of(client, {"lines": source}), page_of(client, {})
    assert figures_of(pasted) == figures_of(typed)
    assert "Lamp dough" in part(pasted, r'<article class="card".*?</article>')


PARTS = (
    "Harbour loaf\r\nFor the lid\r\n500 g flour\r\n200 g butter\r\n150 g sugar\r\n2 tbsp milk\r\n"
)
PARTS += "For the base\r\n300 g rye flour\r\n120 g butter\r\n100 g honey"


def test_of_several_parts_one_is_chosen(client):
    """The title line is the name; the floury part is the dough until another is chosen."""
    page = page_of(client, {"lines": PARTS})
    card = part(page, r'<article class="card".*?</article>')
    assert card.startswith("Harbour loaf")
    assert "rye" not in card
    assert 'name="part" value="For the base"' in page
    other = page_of(client, {"lines": PARTS, "part": "For the base"})
    assert "rye" in part(other, r'<article class="card".*?</article>')
    assert re.search(r'name="part" value="For the base" checked', other)


UNKNOWN = "3 cups flour\r\n200 g butter\r\n100 g sugar\r\n2 tbsp zorbleberry paste"


def test_a_food_of_ones_own_is_described_in_place(client):
    """Its kind and what it is made of, in a line's own fields, is what an interface's own
    ingredient is; a line that was said to be something needs a weight."""
    line = "2 tbsp zorbleberry paste"
    said = {f"is.{line}": "zorbleberry", f"kind.{line}": "syrup", f"water.{line}": "30"}
    said |= {f"sugars.{line}": "60,5", f"grams.{line}": "40 g"}
    page = send(client, {"lines": UNKNOWN, "do": "read", **said}).text
    own = {"name": "zorbleberry", "role": "syrup", "water_percent": 30, "sugars_percent": 60.5}
    lines = [{"text": text} for text in UNKNOWN.split("\r\n")[:3]]
    lines.append({"ingredient": "zorbleberry", "quantity": 40, "unit": "g"})
    asked = {"recipe": {"lines": lines, "custom_ingredients": [own]}}
    ratios = client.post("/v1/ratios", json=asked).json()["ratios"]
    shown = text_of(re.search(r'<dl class="now">.*?</dl>', page, re.DOTALL)[0])
    assert f"Moisture {ratios['moisture_percent']:.3g}" in shown
    assert f"Sugars {ratios['sugar_percent']:.3g}" in shown
    wrong = send(
        client, {**ON_ROLL, "lines": UNKNOWN, f"kind.{line}": "fat", f"fat.{line}": "much"}
    )
    assert "is no number" in wrong.text
    heading = {"lines": f"{UNKNOWN}\r\nsome dusk", "is.some dusk": "sugar"}
    assert "Say also what it weighs." in send(client, {**heading, "do": "read"}).text
    assert "Line 5" in part(page_of(client, heading), r'id="faults".*?</div>')


def test_the_sample_page_has_the_same_story(client):
    """The answer of a fresh page is that of the same dough pasted."""
    fresh = client.get("/", headers=HTML).text
    assert figures_of(fresh) == figures_of(page_of(client, {}))
