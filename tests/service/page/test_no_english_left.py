"""What a page in another language still says in English is marked as English, and nothing else is.

The page is walked as a browser builds it: text, and the words that only some people get.
"""

import re
from html.parser import HTMLParser

import pytest

from models.pantry import known_pantry
from service.page.languages import LANGUAGES
from tests.service.page.test_home import LINES, send

OTHERS = [language for language in LANGUAGES if language != "en"]
VOID = frozenset(("meta", "link", "input", "img", "br"))
SAID = frozenset(("aria-label", "alt", "title", "placeholder", "content"))
UNREAD = frozenset(("script", "style", "textarea"))

ENGLISH = re.compile(
    r"\b(the|and|of|with|for|is|are|your|this|that|it|by|not|from|what|who|how|which|each|every|"
    r"line|lines|dough|sheet|piece|pieces|print|address|copy|thickness|flour|sugar|crack|"
    r"allergens|none|known|window|yours|below|above|inside|leave|leaves|out)\b",
    re.IGNORECASE,
)
"""Words that stand in nearly every English sentence of the page, and in no German or French one."""


FOODS = re.compile(
    "|".join(sorted((re.escape(food.name) for food in known_pantry()), key=len)[::-1])
)
"""Foods are named in English, as the page says at its top."""


class Walk(HTMLParser):
    """Everything a page says, without what is marked as English, and what the visitor typed."""

    def __init__(self):
        super().__init__()
        self.open = []
        self.said = []

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        marked = given.get("lang") == "en" or tag in UNREAD or "typed" in (given.get("class") or "")
        silent = marked or any(silent for _, silent in self.open)
        if tag not in VOID:
            self.open.append((tag, silent))
        if not silent:
            self.said += [given[name] for name in SAID & set(given) if given[name]]

    def handle_endtag(self, tag):
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, text):
        if not any(silent for _, silent in self.open) and text.strip():
            self.said.append(" ".join(text.split()))


ON_ROLL = {"lines": LINES, "form": "cylinder", "do": "answer", "title": "Mehl"}
STATES = {
    "fresh": {},
    "answered": ON_ROLL,
    "by hand": {**ON_ROLL, "hand.thickness": "2.5"},
    "taken": {**ON_ROLL, "do": "apply"},
    "wave": {**ON_ROLL, "form": "wave"},
    "by ratios": {**ON_ROLL, "form": "none", "flour_to_fat.min": "2.1"},
    "beyond": {**ON_ROLL, "lines": "300 g flour\r\n150 g butter\r\n1 egg"},
    "doubtful": {**ON_ROLL, "lines": f"{LINES}\r\n2 EL Zorbel\r\n2-3 tbsp milk\r\nGlanz"},
    "infeasible": {
        **ON_ROLL,
        "stay.thickness": "1",
        "stay.warm": "1",
        "flour_change": "1",
        "crack_chance_percent.max": "2",
        "keep": ["baking soda", "unsalted butter", "egg", "molasses", "brown sugar"],
    },
    "pieces": {**ON_ROLL, "pieces": "12"},
    "faulty": {**ON_ROLL, "thickness": "dünn"},
}


@pytest.mark.parametrize("language", OTHERS)
def test_the_help_is_in_its_language(client, language):
    """What the words mean is told in the page's language, without a word of ours in English."""
    walk = Walk()
    walk.feed(client.get(f"/page/help?lang={language}").text)
    assert len(walk.said) > 20
    assert [text for text in walk.said if ENGLISH.search(text)] == []


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("state", STATES)
def test_no_english_is_left_unmarked(client, state, language):
    """Before an answer and after, every sentence is in the page's language, or says it is not."""
    typed = [
        (name, one)
        for name, value in {**STATES[state], "lang": language}.items()
        for one in (value if isinstance(value, list) else [value])
    ]
    page = send(client, typed).text
    walk = Walk()
    walk.feed(page)
    assert len(walk.said) > 60
    assert [text for text in walk.said if ENGLISH.search(FOODS.sub("", text))] == []
