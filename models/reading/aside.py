"""Lines set aside: what stands in a recipe and is none of its dough, and why.

A line never refuses its recipe. What is no measured ingredient of the dough is kept, comes out
again, and never moves. Only a line that seems to measure something and cannot be weighed is
`unread`: then the answer says that it may be in doubt. The words here are common practice, no
source.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from models.pantry import Pantry, known_pantry
from models.reading.beside import beside_in, is_beside, names_a_surface
from models.reading.doubts import UnreadableLine
from models.reading.kitchen_words import (
    NEXT_TO_NOTHING,
    PACKS,
    PINCHES,
    VAGUE,
    VAGUE_ALONE,
    VAGUE_UNITS,
)
from models.reading.line import Reading, read_line
from models.reading.naming import find_name
from models.reading.numerals import read_numeral
from models.reading.page_words import is_furniture, is_nutrition, opens, yield_in
from models.reading.refusals import is_instruction
from models.reading.tangles import untangled
from models.reading.tokens import TokenLine
from models.reading.units import read_unit
from models.value import Value

AsideCode = Literal[
    "heading", "no_amount", "for_serving", "other_part", "not_food", "note", "unread"
]

MAX_CHARACTERS = 2000


class Aside(Value):
    """Why a line is set aside: a code, and what to do if it should count."""

    code: AsideCode
    message: str


@dataclass(frozen=True, slots=True)
class SetAside:
    """A line that is not of the dough."""

    aside: Aside

    @property
    def is_doubtful(self) -> bool:
        """Whether the line could change the outcome, had it been read."""
        return self.aside.code == "unread"


_FINISH = re.compile(
    r"\b(icings?|glaz(?:es?|ing)|frostings?|fillings?|toppings?|decorations?|decorat(?:e|ing)"
    r"|garnish\w*|egg ?wash|coatings?|dusting|finish(?:ing)?|assembl\w*|serving|to serve"
    r"|deko|creme|crème|cream|dorure|nappage|coating|dipping|drizzle|rolling|to brush"
    r"|zum (?:wälzen|bestreichen|bestreuen|verzieren|garnieren|ausrollen)|außerdem"
    r"|\w*(?:glasur|guss|füllung)\w*|cinnamon[- ]sugar|buttercream|ganache|sauce"
    r"|syrup for|caramel sauce|crumble|streusel|verzierung|dekoration|belag|glaçage|nappage"
    r"|garniture|décor)\b",
    re.IGNORECASE,
)
_DOUGH = re.compile(r"\b(dough|cookies?|biscuits?|gingerbread|teig|pâte)\b", re.IGNORECASE)
PART_ALONE = re.compile(
    r"(?:(?:the|le|la|les|der|die|das)\s)?(?:[a-zäöü]+ )?(?:dough|icing|glaze|frosting|filling"
    r"|toppings?|starter"
    r"|levain|poolish|teig|vorteig|hauptteig|guss|glasur|füllung|belag|deko|dekoration|cream"
    r"|creme|crème|coating|crust|decoration|d[ée]coration|dorure|pâte|glaçage|garniture"
    r"|nappage)",
    re.IGNORECASE,
)
_NOT_FOOD = re.compile(
    r"\b(parchment|baking paper|greaseproof|wax(?:ed)? paper|foil|cling film|plastic wrap"
    r"|non-?stick|cooking spray|toothpicks?|skewers?|string|ribbons?|cutters?|rolling pin"
    r"|piping bags?|mou?ld|template|backpapier|alufolie|zahnstocher|papier (?:cuisson|sulfurisé)"
    r"|emporte-pièces?)\b",
    re.IGNORECASE,
)
_FACTS = re.compile(
    r"^\W*(?:prep|cook|bake|total|chill|rest|vorbereitung|gesamt|backen|ruhen)\b\W*\d+\s*(?:min|h"
    r"|std)"
    r"|^\W*(?:makes?|yields?|serves?|servings?|portions?|(?:[a-z-]+ )?time|ready in|oven"
    r"|temperature"
    r"|difficulty|author|course|cuisine|category|keywords?|calories|skill level|per (?:serving"
    r"|portion)"
    r"|ergibt|reicht für|\w*zeit|schwierigkeit\w*|portionen|kategorie|(?:back)?ofen|zubereitung"
    r"|temps|difficulté|niveau|coût|budget|personnes|préparation|cuisson|repos"
    r"|réfrigération)\b(?! of\b)",
    re.IGNORECASE,
)
_STEPS = re.compile(
    r"^\W*(?:(?:step|schritt|étape|etape) \d+\b|(?:\d+[.)]\s*)?(?:(?:next|first|finally|now|to make"
    r"|zuerst|dann|danach|anschließend|nun|zum schluss|ensuite|puis|enfin"
    r"|d[’']abord)\b[ ,]*)?(?:pre[- ]?heat|heat|melt|mix|beat|cream|whisk"
    r"|stir|add|bake|roll|cut|chill|combine|sift|fold|knead|place"
    r"|pour (?:the|in|into|over|onto|batter|mixture|dough|it|half|a)|let|leave|cool|line|in an? "
    r"|using|use|transfer|wrap|refrigerate|remove|divide|shape|drape|press|bring|turn|set|when|once"
    r"|meanwhile|then|den |die |das |alle |mehl |butter (?:und|mit)|préchauffe|mélange|ajoute"
    r"|étale|verser|versez|incorpore|faites|laisse|dans |sortez|formez|enfournez|découpe|abaisse"
    r"|ajouter"
    r"|faire|couper|pétri|battre|fouette|garnir|mettez|mettre|disposer|dispose|den teig))",
    re.IGNORECASE,
)
_KITCHEN = re.compile(
    r"\b(ovens?|bowls?|baking sheets?|cookie sheets?|racks?|mixer|refrigerator|fridge|freezer"
    r"|backofen|ofen|schüssel|backblech|kühlschrank|four|saladier|plaque|réfrigérateur)\b",
    re.IGNORECASE,
)
_NOTE = re.compile(
    r"^\W*(?:notes?|tips?|hints?|see |optional|hinweise?|tipps?|astuces?|conseils?|remarques?)\b"
    r"|^\s*\*",
    re.IGNORECASE,
)
_FOR_A_PART = re.compile(
    r"(?:for the|für (?:den|die|das)|pour (?:la|le|les|l['’])) ?", re.IGNORECASE
)
_LABEL = re.compile(r"\s*([^\W\d_][^:\d]{0,80}):\s*", re.DOTALL)
_LABELLED = re.compile(r"\W*([^\W\d_][^:\d]{1,60}?)\s*:\s+(?=.*\d)(.+)", re.DOTALL)
_ANOTHER_CHOICE = re.compile(r"\W*(?:or|oder|ou)\b", re.IGNORECASE)
_MARKED = re.compile(
    r"\s*(?:#{1,6}\s|\*\*|__|[-=–—*]{2,})\s*([^\d]{1,80}?)\s*[#*_=–—-]*\s*", re.DOTALL
)
_MESSAGES: dict[AsideCode, str] = {
    "heading": "This is a heading, not an ingredient.",
    "no_amount": "It gives no amount, so it counts for nothing. Give it one if it is of the dough.",
    "for_serving": "It is for the board, the tin or the table and not of the dough.",
    "other_part": "It belongs to another part than the dough.",
    "not_food": "It is no ingredient.",
    "note": "It is a note, not an ingredient.",
}
_NUMBERED = re.compile(r"^\W*\d{1,2}[.)]\s+[^\W\d_]")
_STEP_ALONE = re.compile(r"\W*(?:step|schritt|[ée]tape) \d+\W*", re.IGNORECASE)
_STORY_WORDS = 12
_AND_MORE = re.compile(
    r"\b(?:plus|extra|more|and|und|et|mehr|sowie|noch|or (?:more|so|extra)|divided|some)\b|\+|&",
    re.IGNORECASE,
)
_COUNTING = frozenset({"a", "an", "one", "ein", "eine", "einen", "einem", "einer", "un", "une"})
_STEP_WORDS = 7
"""A line of fewer words is no step of a method."""


@lru_cache(maxsize=8192)
def understand_line(text: str, pantry: Pantry) -> Reading | SetAside:
    """Return what a line means, or why it is set aside; never raises."""
    if len(text) >= MAX_CHARACTERS:
        return set_aside("unread", f"It has {MAX_CHARACTERS} characters or more.")
    if heading_of(text) is not None or opens(text) is not None:
        return set_aside("heading")
    if _FACTS.search(text) or _is_step(text) or is_nutrition(text) or yield_in(text):
        return set_aside("not_food")
    if is_furniture(text) or _ANOTHER_CHOICE.match(text):
        return set_aside("note")
    label = _LABELLED.match(text)
    if label is not None and _is_step(label[2]):
        return set_aside("not_food")
    if label is not None and is_finish(label[1]):
        return set_aside("for_serving")
    try:
        reading = read_line(untangled(_unlabelled(text, label, pantry), pantry), pantry)
        if _is_beside_whole(text):
            return set_aside("for_serving")
        if _is_story(text, reading):
            return set_aside("note")
        is_food = reading.uncertain is None or reading.uncertain.code != "unknown_food"
        return set_aside("not_food") if not is_food and _NOT_FOOD.search(text) else reading
    except UnreadableLine as unreadable:
        return _why_unread(text, unreadable, pantry)


def _unlabelled(text: str, label: re.Match[str] | None, pantry: Pantry) -> str:
    """Return a line without a label that names no food: "Teig: 250 g Mehl", "Optional: nuts"."""
    if label is None or not label[2].strip():
        return text
    words = TokenLine(label[1])
    return text if find_name(words, 0, len(words), pantry) is not None else label[2]


def _is_beside_whole(text: str) -> bool:
    """Tell whether all that a line measures is for the board, the tin or the table."""
    beside = beside_in(text)
    return (
        beside is not None
        and not _DOUGH.search(text)
        and not _AND_MORE.search(text[: beside.start()])
        and not beside[0].casefold().startswith("to room")
    )


def _is_story(text: str, reading: Reading) -> bool:
    """Tell whether a long line that begins with words speaks of food without measuring it out."""
    if reading.uncertain is None or reading.uncertain.code not in ("words", "unknown_food"):
        return False
    words = text.split()
    speaks = len(words) > 5 and text.rstrip().endswith((".", "!", "?"))
    return (speaks or len(words) >= _STORY_WORDS) and not any(
        c.isnumeric() for c in " ".join(words[:3])
    )


def set_aside(code: AsideCode, message: str | None = None) -> SetAside:
    """Return a line set aside under `code`, in its own words or in ours."""
    return SetAside(Aside(code=code, message=message or _MESSAGES[code]))


def heading_of(text: str) -> str | None:
    """Return what a heading says, or None where the line is no heading."""
    bare = text.strip()
    if not bare or len(bare) > 200:
        return None
    label = _LABEL.fullmatch(bare.rstrip("*_ \t"))
    if label is not None:
        return label[1].strip("*_# \t")
    marked = _MARKED.fullmatch(bare)
    if marked is not None:
        return marked[1].rstrip(":").strip()
    words_only = not any(c.isdigit() for c in bare) and len(bare.split()) <= 5
    if words_only and _FOR_A_PART.match(bare) and not names_a_surface(bare):
        return bare
    opens = bare.casefold().startswith(("for ", "für ", "pour "))
    if opens and words_only and not is_beside(bare):
        return bare
    if PART_ALONE.fullmatch(bare):
        return bare
    loud = words_only and bare.isupper() and len(bare) > 3
    return bare if loud and is_named_part(bare) else None


def is_named_part(heading: str) -> bool:
    """Tell whether words name a part of a recipe."""
    return bool(_FINISH.search(heading) or _DOUGH.search(heading))


def is_finish(heading: str) -> bool:
    """Tell whether a heading is of what comes on, in or beside the baked dough."""
    return _FINISH.search(heading) is not None and _DOUGH.search(heading) is None


def _is_step(text: str) -> bool:
    words = text.split()
    if _NUMBERED.match(text) and (len(words) >= _STEP_WORDS or text.rstrip().endswith(".")):
        return True
    if not _STEPS.match(text):
        return False
    if _STEP_ALONE.fullmatch(text):
        return True
    return (
        bool(_KITCHEN.search(text))
        or len(words) >= _STEP_WORDS
        or text.rstrip().endswith((".", "!"))
    )


def _why_unread(text: str, unreadable: UnreadableLine, pantry: Pantry) -> SetAside:
    if _NOT_FOOD.search(text) or (_KITCHEN.search(text) and not weighs_out(text)):
        return set_aside("not_food")
    line = TokenLine(text)
    measures = any(_opens_amount(line, at) for at in range(len(line)))
    if is_beside(text) and not measures:
        return set_aside("for_serving")
    if _NOTE.search(text) and not (measures and text.lstrip().startswith("*")):
        return set_aside("note")
    if len(text.split()) > _STORY_WORDS and not weighs_out(text):
        return set_aside("note")
    if _is_sentence(text) or (is_instruction(line) and not weighs_out(text)):
        return set_aside("not_food")
    numbered = any(token.kind == "number" for token in line)
    if not numbered and any(token.plain in NEXT_TO_NOTHING for token in line):
        return set_aside("no_amount")
    vague = any(token.plain in VAGUE | PACKS | PINCHES for token in line)
    opens_bare = not any(_opens_amount(line, at) for at in range(2)) and not weighs_out(text)
    if (not measures and not vague) or (opens_bare and not vague and numbered):
        named = find_name(line, 0, len(line), pantry)
        long = len(text.split()) > _STEP_WORDS
        return set_aside("note" if long and named is None else "no_amount")
    return set_aside("unread", str(unreadable))


def _is_sentence(text: str) -> bool:
    """Tell whether a line ends as sentences do and weighs nothing out: a step, a thought."""
    words = text.split()
    if not text.rstrip().endswith((".", "!")) or len(words) <= 5:
        return False
    speaks = len(words) > _STORY_WORDS and not any(c.isnumeric() for c in " ".join(words[:3]))
    return speaks or not weighs_out(text)


def weighs_out(text: str) -> bool:
    """Tell whether a number with a unit stands in a line."""
    line = TokenLine(untangled(text[:MAX_CHARACTERS], known_pantry()))
    return any(
        token.kind == "number" and read_unit(line, at + 1) is not None
        for at, token in enumerate(line)
    )


def _opens_amount(line: TokenLine, at: int) -> bool:
    if line[at].kind == "number":
        return True
    if line[at].plain in VAGUE_UNITS - VAGUE_ALONE or (at > 2 and line[at].plain in _COUNTING):
        return False  # silver balls; the icing below or this one
    if read_unit(line, at) is not None:
        return True
    try:
        return read_numeral(line, at) is not None
    except UnreadableLine:
        return True
