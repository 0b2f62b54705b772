"""Languages of the page: its own words, in one file a language; what the model says stays English.

A message is its English words; a file that lacks it shows those. The files are gettext catalogues.
"""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Protocol

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

LANGUAGES = {"en": "English", "de": "Deutsch", "fr": "Français"}

_CATALOGUES = Path(__file__).parent / "translations"


class Say(Protocol):
    """A function from English words, with %(named)s places, to those of one language."""

    def __call__(self, message: str, /, **values: str) -> str:
        """Return the message with its places filled."""


def language_of(asked: str) -> str:
    """Return a language that there are words in: the one asked for, else English."""
    return asked if asked in LANGUAGES else "en"


@cache
def catalogue_of(language: str) -> Catalog | None:
    """Return a language's words; None for English, which the messages are."""
    if language == "en":
        return None
    with (_CATALOGUES / f"{language}.po").open("rb") as file:
        return read_po(file, locale=language)


@cache
def say_in(language: str) -> Say:
    """Return what says a message in a language."""
    catalogue = catalogue_of(language)

    def say(message: str, /, **values: str) -> str:
        found = catalogue.get(message) if catalogue else None
        text = str(found.string) if found and found.string else message
        return text % values if values else text.replace("%%", "%")

    return say


@cache
def count_in(language: str) -> Callable[[str, str, int], str]:
    """Return what says a message of so many things; its place is %(num)s."""
    catalogue = catalogue_of(language)

    def count(one: str, many: str, number: int) -> str:
        found = catalogue.get(one) if catalogue else None
        forms = found.string if found and isinstance(found.string, tuple) else (one, many)
        # French counts nothing as one thing; of what the page counts there is always something.
        return str(forms[number != 1] or (one, many)[number != 1]) % {"num": number}

    return count
