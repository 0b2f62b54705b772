"""Rendering: the page and its parts as HTML, with the policy that lets in nothing from elsewhere.

Whatever was typed is text and never markup: every template escapes by itself.
"""

import hashlib
import re
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import Response

from models.outcome import Outcome
from models.ratios import RATIOS
from models.wording import RATIO_WORDS, limit_name_words, outcome_words
from service.drawings.icons import icon
from service.drawings.ink import DOUGH, INK, STONE
from service.drawings.printed_sheets import PrintedSheets
from service.drawings.tens import PIECES
from service.page import line_sayings, words
from service.page.examples import EXAMPLES, SAMPLE
from service.page.fields import Fields
from service.page.glossary import GLOSSARY
from service.page.languages import LANGUAGES, count_in, language_of, say_in
from service.page.logging_page import LoggingPage
from service.page.page import MovedPage, Page
from service.page.typed_request import NO_FORM
from service.questions.form_table import FormTable, form_table

CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "script-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "Cache-Control": "no-store",
    "Vary": "Accept",
}
"""What was typed is nobody's but the visitor's, so no copy of an answer is kept on the way."""

STATIC = {
    "page.css": "text/css",
    "page.js": "text/javascript",
    "sheets.css": "text/css",
    "favicon.svg": "image/svg+xml",
    "preview.png": "image/png",
}

_HERE = Path(__file__).parent


def render(page: Page, status: int = 200, headers: dict[str, str] | None = None) -> Response:
    """Return the whole page."""
    return _html("page.html", page, status, headers)


def render_part(part: str, page: Page | MovedPage) -> Response:
    """Return one part of the page, to be set in place of the one that is shown."""
    return _html(f"{part}.html", page)


def render_logging(page: LoggingPage, status: int = 200) -> Response:
    """Return the form that logs a tray.

    Without a referrer its own sending would look like another site's, which stores nothing here.
    """
    return _html("log.html", page, status, {"Referrer-Policy": "same-origin"})


def render_help(fields: Fields) -> Response:
    """Return what the page's words mean, in the language that `fields` ask for."""
    return _html("help.html", MovedPage(fields, None))


def render_sheets(printed: PrintedSheets) -> Response:
    """Return drawings as pages to print: a browser shrinks what is larger than its paper."""
    content = _environment("en").get_template("sheets.html").render(printed=printed)
    return Response(content, headers=HEADERS, media_type="text/html")


_COMMENT = re.compile(rb"/\*.*?\*/|^\s*//.*?$", re.DOTALL | re.MULTILINE)
"""A comment in a style sheet, or one that has a line of a script to itself: nobody's to load."""


@cache
def static_file(name: str) -> bytes:
    """Return a file that the page asks for; scripts and styles without what only people read."""
    content = (_HERE / "static" / name).read_bytes()
    if not name.endswith((".css", ".js")):
        return content
    lines = (line.strip() for line in _COMMENT.sub(b"", content).splitlines())
    return (b"\n" if name.endswith(".js") else b"").join(line for line in lines if line)


def _html(
    template: str,
    page: Page | MovedPage | LoggingPage,
    status: int = 200,
    headers: dict[str, str] | None = None,
) -> Response:
    fields = getattr(page, "fields", None)
    language = language_of(fields.one("lang") if fields else "")
    content = _environment(language).get_template(template).render(page=page)
    sent = {**HEADERS, **(headers or {})}
    if fields and fields.one("embed"):
        sent["Content-Security-Policy"] = CONTENT_SECURITY_POLICY.replace(*_FRAMED)
    return Response(content, status, sent, "text/html")


_FRAMED = ("frame-ancestors 'none'", "frame-ancestors *")
"""A page that asks to be embedded may stand in a frame; it has no session to be misused."""


@cache
def _environment(language: str) -> Environment:
    environment = Environment(
        loader=FileSystemLoader(_HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["limit_words"] = limit_name_words
    environment.globals["ratio_words"] = RATIO_WORDS
    environment.globals["headline"] = _headline
    environment.globals |= {
        "_": say_in(language),
        "ngettext": count_in(language),
        "language": language,
        "en": "" if language == "en" else ' lang="en"',
        "languages": LANGUAGES,
        "sample": SAMPLE.replace("\r\n", "\n"),
        "icon": _icon,
        "pieces": PIECES,
        "words": words,
        "told": line_sayings,
        "glossary": GLOSSARY,
        "forms": _forms(),
        "no_form": NO_FORM,
        "examples": EXAMPLES,
        "ratios": RATIOS,
        "version_of": _version_of,
    }
    return environment


@cache
def _icon(kind: str) -> str:
    """Return an icon in the page's own colours, told by the words beside it."""
    drawn = icon(kind).replace('role="img"', 'aria-hidden="true"')
    drawn = re.sub(r"<title>.*?</title><desc>.*?</desc>", "", drawn)
    for ink, name in ((DOUGH, "dough"), (STONE, "stone"), (INK, "ink")):
        drawn = re.sub(rf'(fill|stroke)="{ink}"', rf'\1="var(--{name})"', drawn)
    return drawn


@cache
def _forms() -> FormTable:
    return form_table()


@cache
def _version_of(name: str) -> str:
    """Return what changes with a file, so that browsers may keep it for good."""
    return hashlib.sha256(static_file(name)).hexdigest()[:10]


def _headline(outcome: Outcome) -> str:
    strange = outcome.form.outside_experience if outcome.form else ()
    return outcome_words(outcome.outcome, strange).headline
