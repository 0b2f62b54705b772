"""Typing that runs together or leaves out: put right before a line is read, its words kept.

"250gflour" and "1 cupmilk" want a space, "2/3 + 1/4 cup sugar" its unit twice. What is not plainly
one of these stays as it was.
"""

import re

from models.pantry import Pantry
from models.reading.kitchen_words import UNITS

_UNIT = "|".join(sorted((re.escape(word) for word in UNITS if len(word) > 1 or word in "gl"),
                        key=len, reverse=True))  # fmt: skip
_GLUED = re.compile(rf"(?<![^\W\d_])(\d[\d.,/ ½¼¾⅓⅔]*)({_UNIT})([^\W\d_]{{3,}})", re.IGNORECASE)
_NUMBER = r"\d+(?:[./]\d+)?(?: \d/\d)?|[½¼¾⅓⅔⅛]"
_SUM = re.compile(rf"^(\W*)({_NUMBER}) ?(\+|plus|and) ?({_NUMBER}) ({_UNIT})\b", re.IGNORECASE)
_INVISIBLE = re.compile("[¹²³⁴-⁹⁰®™†‡\u00ad\u200b-\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]")


_RIPE = re.compile(r"\b(?:très|bien) mûre?s?\b", re.IGNORECASE)
_STARRED = re.compile(r"\(\*[^()]*\)")
"""A note in brackets, as its asterisk says."""
_SMALL_BOTTLE = re.compile(r"\bkleine Flaschen?\b", re.IGNORECASE)
_NUT_OF_BUTTER = re.compile(r"\bnoi(?:x|sette) de beurre", re.IGNORECASE)
_LIST_NUMBER = re.compile(
    rf"^[\s\-•*☐▪]*(?:0\d\s*[-–.):]|\d{{1,2}}[.)])\s+(?=[\d½¼¾⅓⅔⅛]|(?:an?|one|{_UNIT})\b)",
    re.IGNORECASE,
)
_CELLS = re.compile(r"^\s*\|?\s*([\d½¼¾⅓⅔⅛][^|]{0,30}?)\s*\|(?!\s*[\d½¼¾⅓⅔⅛])\s*")
_FULLWIDTH = {0xFF01 + at: 0x21 + at for at in range(94)}
"""Figures and letters as wide as a Chinese sign, and what they stand for."""

_YEAST_PACKET = re.compile(r"(sachets? de )levure (?:de )?boulang\w+", re.IGNORECASE)
_MORE_OF_IT = re.compile(
    r"[ ,]*\(?\+ ?(?:etwas|un peu|extra|more|mehr|some|a (?:little|bit))\b[^\d()]*\)?$",
    re.IGNORECASE,
)
_PIECE_ALONE = re.compile(r"(\boeufs?\b.*|\bœufs?\b.*)(\bjaunes?|\bblancs?)\s*$", re.IGNORECASE)
_SIZED_EGGS = re.compile(
    r"\b(eier|ei|eggs?|œufs?|oeufs?)(?: entiers?)?[ ,(]+"
    r"(?:(?:größe|grösse|gr\.?|taille|calibre|size)\s*(?:L|XL)|(?<=\()(?:L|XL)|gros calibre)\b\)?",
    re.IGNORECASE,
)
_SPACES = re.compile(r"[\s\x00-\x1f\x7f-\x9f]")
_ENDINGS = re.compile(r"(?<=\w)\((?:n|en|e|s|es|er)\)")
_FRUITS = {"zitrone": "lemon", "citron": "lemon", "orange": "orange", "lemon": "lemon",
           "limette": "lime", "lime": "lime", "citron vert": "lime"}  # fmt: skip
_PARTS = {"schale": "zest", "abrieb": "zest", "saft": "juice", "zeste": "zest", "jus": "juice",
          "zest": "zest", "rind": "zest", "juice": "juice"}  # fmt: skip
_PART = re.compile("|".join(_PARTS))
_FRUIT_FIRST = re.compile(
    r"^\W*(?P<count>\d+(?:/\d+)?|[½¼¾])[ -](?:(?:bio|large|small|medium|unwaxed|organic"
    r"|unbehandelte"
    r"|kleine|große|petit|gros)[ -])*"
    r"(?P<fruit>zitrone|citron vert|citron|orange|lemon|limette|lime)n?s?\b"
    r"(?P<said>[^\d+]{0,40}?(?:zest|rind|juice|schale|abrieb|saft|zeste|jus)[^\d+]*)$",
    re.IGNORECASE,
)
_SEEDS = re.compile(
    r"^\W*(?:(?:das |les |the )?(?:ausgekratztes |ausgeschabtes |scraped )?"
    r"(?:mark|grains?|graines|seeds) )(?:von |aus |of |from |de |d['’])?"
    r"(?=(?:\d|[½¼¾]|einer|eine|zwei|une|an?|one|half)\b.{0,25}"
    r"(?:vanill|gousse))",
    re.IGNORECASE,
)
"""Opens the seeds of a vanilla bean, which weigh nothing beside the bean."""
_COUNTS = {"einer halben": "1/2", "einer": "1", "eine": "1", "zwei": "2", "zweier": "2",
           "un demi": "1/2",
           "une demi": "1/2", "un": "1", "une": "1", "half a": "1/2", "a": "1", "an": "1",
           "one": "1", "two": "2"}  # fmt: skip
_GRATED = (
    r"(?:finement|fein|râpée?s?|frisch|grated|finely|bio|non|traitée?s?|gerieben\w*|abgerieben\w*)"
)
_OF_A_FRUIT = re.compile(
    r"^\W*(?:[\w-]+ ){0,4}?(?:le |les |la |the )?(schale|abrieb|saft|zeste|jus|zest|rind|juice)s?"
    rf"(?: {_GRATED}){{0,3}}(?: von| of|,? de)?(?: d['’])?\s*(?:d['’])?"
    r"(einer halben|einer|eine|zweier|zwei|un demi|une demi|un|une|half an?|an?|one|two"
    r"|[\d/½¼¾]+)[ -]"
    r"(?:(?:bio-?|unbehandelten?|unwaxed|organic|large|small|medium|gros|grosse|petit)[ -]?)*"
    r"(zitrone|citron vert|citron|orange|lemon|limette|lime)n?s?\b(?P<rest>.*)$",
    re.IGNORECASE,
)


def untangled(text: str, pantry: Pantry) -> str:
    """Return `text` with what runs together set apart; the same where nothing does."""
    text = _SPACES.sub(" ", _INVISIBLE.sub("", text)).translate(_FULLWIDTH)
    text = _NUT_OF_BUTTER.sub("knob de beurre", _LIST_NUMBER.sub("", _CELLS.sub(r"\1 ", text)))

    def apart(found: re.Match[str]) -> str:
        number, unit, word = found.groups()
        whole = f"{unit}{word}".casefold()
        if whole in UNITS or pantry.find(whole) is not None or pantry.find(word) is None:
            return found[0]
        return f"{number}{unit} {word}"

    text = _GLUED.sub(apart, _STARRED.sub("", _RIPE.sub("", text)))
    text = _SEEDS.sub("", text.rstrip(" |"))
    text = _OF_A_FRUIT.sub(_fruit_last, _ENDINGS.sub("", text))
    text = _FRUIT_FIRST.sub(_part_last, text)
    text = _MORE_OF_IT.sub("", _YEAST_PACKET.sub(r"\1levure sèche", text))
    text = _SMALL_BOTTLE.sub("Fläschchen", text)
    text = _SIZED_EGGS.sub("Eier Größe L", text)
    text = _PIECE_ALONE.sub(r"\1\2 d'œuf", text)
    return _SUM.sub(r"\1\2 \5 + \4 \5", text)


def _part_last(found: re.Match[str]) -> str:
    """Turn "1 lemon, zested and juiced" about: 1 lemon zest + 1 lemon juice."""
    count, fruit = found["count"], _FRUITS[found["fruit"].casefold()]
    parts = dict.fromkeys(_PARTS[each] for each in _PART.findall(found["said"].casefold()))
    return " + ".join(f"{count} {fruit} {part}" for part in parts)


def _fruit_last(found: re.Match[str]) -> str:
    """Turn "le zeste d'un citron" about: 1 lemon zest."""
    part, count, fruit = (found[at].casefold() for at in (1, 2, 3))
    number = _COUNTS.get(count.removesuffix("n") if count == "half an" else count, count)
    before = found[0][: found.start(1) - found.start()].casefold()
    beside = next((_PARTS[word] for word in _PARTS if word in before), None)
    more = f" + {number} {_FRUITS[fruit]} {beside}" if beside and beside != _PARTS[part] else ""
    return f"{number} {_FRUITS[fruit]} {_PARTS[part]}{more}{found['rest']}"
