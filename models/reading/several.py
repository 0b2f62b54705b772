"""Lines that name several foods with one amount for each, or one beaten with another.

"1/2 tsp each cloves and allspice", "salt and pepper, 1 tsp each", "1 yolk beaten with 1 tbsp water"
are written out as the lines that they stand for. Sums ("1 cup milk + 1 tbsp vinegar") need no
writing out: `models.reading.segments` divides them.
"""

import re

from models.pantry import Pantry
from models.reading.kitchen_words import PACKETS, UNITS
from models.reading.naming import find_name
from models.reading.tokens import TokenLine

_WORDS = {*UNITS, *PACKETS, "c. à s", "c. à c", "c. à soupe", "c. à café"}
_UNIT = "|".join(sorted(map(re.escape, (word for word in _WORDS if len(word) > 1 or word in "gct")),
                        key=len, reverse=True))  # fmt: skip
_AMOUNT = (
    r"(?:(?:a )?(?:pinch|dash|prise|pincée)(?: of)?|(?:\d+(?:[.,]\d+)?(?: \d+/\d+|/\d+)?"
    r"|\d* ?[¼½¾⅓⅔⅛⅜⅝⅞]|an?|one|two|three|half an?|je|eine?|une?|zwei|drei|deux|trois)"
    rf"(?: (?:heaping|scant|level|rounded|generous))?(?:[ -]?(?:{_UNIT})\.?)?)"
)
_EACH_FIRST = re.compile(
    rf"^\W*(?P<amount>{_AMOUNT}) ?(?:\(each\)|each|apiece|jeweils)\b[:,]?(?: of| of the)?"
    rf" (?P<foods>.+)$"
    rf"|^\W*(?:je|jeweils) (?P<amount2>{_AMOUNT}) (?P<foods2>.+)$",
    re.IGNORECASE,
)
_EACH_LAST = re.compile(
    rf"^\W*(?P<foods>[^\d()]+?)[,:–—-]? *\(?(?P<amount>{_AMOUNT}) (?:of )?each\)?\W*$",
    re.IGNORECASE,
)
_WITH = re.compile(
    rf"^(?P<first>.*?),? \(?(?:lightly |well )?(?:beaten|soaked|steeped|mixed|whisked|stirred"
    rf"|combined|dissolved"
    rf"|blended"
    rf"|verquirlt|vermischt|verrührt|battue?s?|mélangée?s?|délayée?s?|diluée?s?)(?: together| up)? "
    rf"(?:with|in|into|mit|avec|dans) (?P<second>{_AMOUNT} .+?)\)?$",
    re.IGNORECASE,
)
_IN_WATER = re.compile(
    rf"^(?P<first>.*?),? \(?in (?P<second>{_AMOUNT} [^,]+?) (?:auf)?(?:gelöst|geweicht"
    rf"|verrührt)\)?$",
    re.IGNORECASE,
)
_JOINT = re.compile(
    r"\s*(?:,\s*(?:and|und|et|plus)?|;|/|\band\b|&|\+|\bund\b|\bet\b|\bplus\b)\s*", re.I
)
_AFTERWARDS = re.compile(r"\b(?:for|plus|to taste|or|oder|ou|pour|zum|für)\b", re.IGNORECASE)
_OPENS_AMOUNT = re.compile(rf"\W*{_AMOUNT}(?=\W)", re.IGNORECASE)
_AFTER_DASH = re.compile(r"\s+(?:\d|[¼½¾⅓⅔⅛]|une?\b|eine?\b)")
_SOME = re.compile(r"^\W*(?:etwas|some|a little|un peu de|un peu d['’])\s*", re.IGNORECASE)
MOST_LISTED = 20
LONGEST_LIST = 800
MOST_FOODS = 6
LONGEST = 200
_MADE_OF = re.compile(
    rf"^.{{0,12}}\b(?:flax|chia|vegan|linseed|sour|butter|self).{{0,40}}\((?P<first>{_AMOUNT}"
    rf" [^()+]+?)"
    rf"(?: ?\+ ?| (?:and|plus|with|(?:mixed|combined|stirred) (?:with|into)|mit|et)"
    rf" )(?P<second>{_AMOUNT} [^()+]+)\)\W*$",
    re.IGNORECASE,
)
"""A food with what it is made of in brackets: a flax egg, soured milk."""


def written_out(text: str, pantry: Pantry) -> list[str]:
    """Return the lines that a line of several foods stands for; no line for any other."""
    listed = _listed(text, pantry) if len(text) <= LONGEST_LIST else []
    if listed or len(text) > LONGEST:
        return listed
    found = _WITH.match(text) or _IN_WATER.match(text) or _MADE_OF.match(text)
    if found is not None:
        return [found["first"], found["second"]]
    found = _EACH_FIRST.match(text) or _EACH_LAST.match(text)
    if found is None:
        return []
    named = found.groupdict()
    amount = named["amount"] or named.get("amount2")
    said = named["foods"] or named.get("foods2") or ""
    foods = [food for food in _JOINT.split(said.strip(" ()")) if food]
    if not amount or not 2 <= len(foods) <= MOST_FOODS or _AFTERWARDS.search(said):
        return []
    return [f"{amount} {_whole_name(food, foods[-1], pantry)}" for food in foods]


def _listed(text: str, pantry: Pantry) -> list[str]:
    """Return the foods of a line that lists several, each after its own amount; none for others.

    "140 g butter (soft), 1 egg, 280 g flour": every part opens with an amount and names a food.
    """
    parts = [part.strip(" .") for part in _apart(text) if part.strip(" .")]
    if not 2 <= len(parts) <= MOST_LISTED:
        return []
    for at, part in enumerate(parts):
        parts[at] = part = _SOME.sub("0 g ", part)
        opened = _OPENS_AMOUNT.match(part)
        if opened is None:
            return []
        name = TokenLine(part[opened.end() :])
        if find_name(name, 0, len(name), pantry) is None:
            return []
    return parts


def _apart(text: str) -> list[str]:
    """Cut a line at the commas and strokes that stand in no brackets."""
    parts, depth, start = [], 0, 0
    for at, mark in enumerate(text):
        depth += (mark in "([") - (mark in ")]")
        decimal = mark == "," and text[at + 1 : at + 2].isdigit()
        dash = mark in "–—-" and _AFTER_DASH.match(text, at + 1) is not None
        if depth == 0 and (dash or (mark in ",;|•" and not decimal)):
            parts.append(text[start:at])
            start = at + 1
    return [*parts, text[start:]]


def _whole_name(food: str, last: str, pantry: Pantry) -> str:
    """Return "light brown sugar" of "light and dark brown sugar"."""
    words = last.split()
    longer = (f"{food} {' '.join(words[at:])}" for at in range(len(words) - 1, 0, -1))
    return next((name for name in longer if pantry.find(name) is not None), food)
