"""The languages of the page: every message of its templates has its words, with the same places."""

import re
from pathlib import Path

import pytest
from jinja2.ext import babel_extract

import service.page
from models.chance import chance_words
from models.form_words import SENTENCES
from models.reading.doubts import SEVERITY
from models.wording import OUTCOME_WORDS, RATIO_WORDS, outcome_words
from service.page import line_sayings
from service.page.examples import EXAMPLES
from service.page.glossary import GLOSSARY
from service.page.languages import LANGUAGES, catalogue_of, say_in
from service.page.ways import TEXTURE
from service.page.words import LEANS, MEMBERS, MOVED, SAYS, SHORT_FORMS, WAYS
from solver.answers.rung import TEXTURE as RUNG_TEXTURE
from tests.service.page.test_home import HTML

TEMPLATES = Path(service.page.__file__).parent / "templates"
OTHERS = [language for language in LANGUAGES if language != "en"]


def messages():
    """Return the messages of the calculator's templates and of its tables of words."""
    found = {*SAYS.values(), *WAYS.values(), *SHORT_FORMS.values(), *LEANS.values(), MOVED}
    told = line_sayings
    for table in (told.ASIDE, told.DOUBTS, told.ROLES, told.KINDS):
        found |= set(table.values())
    found |= {chance_words(percent / 2) for percent in range(201)}
    found |= {words.headline for words in OUTCOME_WORDS.values()}
    found |= {outcome_words("unchanged", ["unlike any"]).headline, *TEXTURE.values()}
    found |= {*RUNG_TEXTURE.values(), *SENTENCES.values(), *MEMBERS.values()}
    found |= {w for ratio in RATIO_WORDS.values() for w in (ratio.title, ratio.sentence)}
    found |= {w for example in EXAMPLES.values() for w in (example.name, example.says)}
    found |= {*GLOSSARY, *GLOSSARY.values()}
    for file in TEMPLATES.glob("*.html"):
        with file.open("rb") as template:
            for _, _, message, _ in babel_extract(template, ["_", "ngettext"], [], {}):
                found.add(message[0] if isinstance(message, tuple) else message)
    return {message for message in found if message}


def test_every_doubt_has_its_sentence():
    """A line that leaves room is told of in every language."""
    assert set(line_sayings.DOUBTS) == set(SEVERITY)


@pytest.mark.parametrize("language", OTHERS)
def test_every_message_is_translated_with_its_places(language):
    """None is missing, and none loses or invents a place to be filled."""
    catalogue = catalogue_of(language)
    told = messages()
    assert len(told) > 100
    assert sorted(each for each in told if not catalogue.get(each)) == []
    for message in catalogue:
        if isinstance(message.id, str) and message.id:
            places = re.findall(r"%\(\w+\)s|%%", message.id)
            assert sorted(places) == sorted(re.findall(r"%\(\w+\)s|%%", message.string)), message.id


@pytest.mark.parametrize("language", OTHERS)
def test_the_page_is_shown_in_its_language(client, language):
    """It says so in its head, asks in it, and its address keeps it."""
    page = client.get(f"/?example=lantern&lang={language}", headers=HTML).text
    assert f'<html lang="{language}">' in page
    assert say_in(language)("Show the ways") in page
    assert "Show the ways" not in page
    assert f"lang={language}" in re.search(r'id="share" href="([^"]+)"', page)[1]


def test_a_page_may_be_embedded_only_where_it_asks(client):
    """Plainly it stands in no frame; with embed it may, and nothing else is let in."""
    plain = client.get("/", headers=HTML).headers["content-security-policy"]
    framed = client.get("/?embed=1", headers=HTML).headers["content-security-policy"]
    assert "frame-ancestors 'none'" in plain
    assert framed == plain.replace("frame-ancestors 'none'", "frame-ancestors *")
