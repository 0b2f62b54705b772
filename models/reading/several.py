"""Lines that name several foods with one amount for each, or one beaten with another.

"1/2 tsp each cloves and allspice", "salt and pepper, 1 tsp each", "1 yolk beaten with 1 tbsp water"
are written out as the lines that they stand for. Sums ("1 cup milk + 1 tbsp vinegar") need no
writing out: `models.reading.segments` divides them.
"""

import re

from models.pantry import Pantry
from models.reading.kitchen_words import UNITS

_UNIT = "|".join(sorted(map(re.escape, (word for word in UNITS if len(word) > 1 or word in "gct")),
                        key=len, reverse=True))  # fmt: skip
_AMOUNT = (
    r"(?:(?:a )?(?:pinch|dash|prise|pincée)(?: of)?|(?:\d+(?:[.,]\d+)?(?: \d+/\d+|/\d+)?"
    r"|\d* ?[¼½¾⅓⅔⅛⅜⅝⅞]|an?|one|two|three|half an?|je)"
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
    if len(text) > LONGEST:
        return []
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


def _whole_name(food: str, last: str, pantry: Pantry) -> str:
    """Return "light brown sugar" of "light and dark brown sugar"."""
    words = last.split()
    longer = (f"{food} {' '.join(words[at:])}" for at in range(len(words) - 1, 0, -1))
    return next((name for name in longer if pantry.find(name) is not None), food)
