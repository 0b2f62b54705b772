"""What is said of an ingredient beside its name: harmless handling, or reasons for doubt.

"sifted" before flour tells how the cup was filled, after it what is done later; "or margarine" is
a choice; "for dusting" is beside the dough. Words that are not understood are named, never dropped
in silence.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

from models.exact import exact
from models.ingredient import Ingredient
from models.measures import EGG_PIECES, number_words
from models.pantry import fold, known_pantry
from models.reading.beside import is_beside
from models.reading.doubts import Uncertain, quoted
from models.reading.figures_beside import (
    tells_flour_type,
    tells_heat_time_length,
    tells_strength,
)
from models.reading.kitchen_words import (
    AFTERWARDS,
    ANOTHER_CHOSEN,
    CHANGES_THE_FOOD,
    CHOICES,
    CUP_GRAMS_FILLED,
    EACH,
    FILLED_ALWAYS,
    FILLED_BEFORE,
    FILLED_ROLES,
    FREE_FROM,
    FRESH,
    HANDLING,
    HEDGES,
    JOINTS,
    MAKES_ANOTHER,
    PACKS,
    SAYING_NOTHING,
    SILENT,
    SIZES,
    TO_TASTE,
    UNCOUNTED,
)
from models.reading.set_apart import BREAKS, is_aside, is_in_brackets, is_set_apart
from models.reading.tokens import BRACKETS, DASHES, TokenLine
from models.reading.units import read_unit
from models.usda_foods import names_a_food

_SILENT_MARKS = frozenset(",.;:…|·•*'\"’‘“”◦▪▢□☐&+") | DASHES | BRACKETS
_CHOICE = CHOICES - {"=", "|"}
_OPENS_CLAUSE = UNCOUNTED | _CHOICE
_PURPOSES = frozenset({"for", "für", "pour", "zum", "zur"})
_NOT = frozenset({"not", "nicht", "pas", "kein", "keine", "never"})
_EXAMPLES = ("z b", "e g", "such as", "par exemple", "par ex", "zum beispiel")
"""These open examples of what was named."""
_WATERS = frozenset({"water", "wasser", "eau"})
"""Set apart, what a thing is dissolved or soaked in brings nothing to weigh."""
_OPTIONAL = frozenset({"optional", "facultatif", "facultative", "optionnel", "optionnelle"})
_OR_MORE = frozenset({"or", "oder", "ou", "more", "mehr", "plus"})
_MORE_OR_LESS = frozenset({"so", "more", "less", "thereabouts", "mehr", "weniger", "plus", "moins"})
_NOT_QUITE = frozenset({"not", "lightly"})
_EVERYDAY = SILENT | HANDLING | PACKS | EACH | SAYING_NOTHING


@lru_cache(maxsize=2048)
def _words_of(names: tuple[str, ...]) -> frozenset[str]:
    return frozenset(word for name in names for word in fold(name).split())


@dataclass(frozen=True)
class Subject:
    """What the remarks are about: the ingredient, and whether its cup or its pieces counted."""

    ingredient: Ingredient
    by_volume: bool
    counted: bool

    @cached_property
    def own_words(self) -> frozenset[str]:
        """The words of its name and piece, folded; "large" too is what any egg is taken for."""
        own = fold(self.ingredient.name).split()
        if self.counted and self.ingredient.unit_name is not None:
            own += fold(self.ingredient.unit_name).split()
        if self.ingredient.unit_name in EGG_PIECES:
            own += ["large", "moyen", "moyenne", "moyens", "mittelgrosse", "mittlere"]
        return frozenset(own)

    @cached_property
    def other_words(self) -> frozenset[str]:
        """The words of its other names, folded: "unbleached", "dark", "80 proof"."""
        return _words_of(self.ingredient.aliases)


def judge(
    line: TokenLine, start: int, end: int, subject: Subject, *, before: bool
) -> list[Uncertain]:
    """Return the doubts in the tokens from `start` up to `end`, `before` the name or after it."""
    doubts: list[Uncertain] = []
    choosing = False
    for opened, closed in _clauses(line, start, end):
        if choosing and not any(line[at].kind == "number" for at in range(opened, closed)):
            continue  # (ou d'amande, d'avoine): further choices
        choosing = line[opened].plain in _CHOICE and is_in_brackets(line, opened)
        doubts += _judge_clause(line, opened, closed, subject, before=before)
    return doubts


def _clauses(line: TokenLine, start: int, end: int) -> Iterator[tuple[int, int]]:
    opened = start
    for at in range(start, end):
        breaks = line[at].text in BREAKS
        aside = line[opened].plain in _OPENS_CLAUSE and line[at].plain in UNCOUNTED
        stroke = line[at].text == "/" and line[at - 1].kind == "number"
        if breaks or (line[at].plain in _OPENS_CLAUSE and not aside and not stroke):
            if at > opened:
                yield opened, at
            opened = at + breaks
    if end > opened:
        yield opened, end


def _judge_clause(
    line: TokenLine, start: int, end: int, subject: Subject, *, before: bool
) -> list[Uncertain]:
    words = [line[at].plain for at in range(start, end) if line[at].kind != "mark"]
    text, plain, name = line.between(start, end), " ".join(words), subject.ingredient.name
    choice = line[start].plain in _CHOICE
    if not before and plain.startswith(_EXAMPLES) and _offers_no_food(words, subject):
        return []  # e.g. sunflower oil
    if not before and not _NOT.isdisjoint(words[:2]) and not words[0].startswith("k"):
        return []  # (not pumpkin pie filling): what is not meant
    if choice and all(tells_flour_type(line, at) for at in range(start + 1, end)):
        return []  # T45 ou T55: one flour
    if choice and before and plain in {"", "or", "oder", "ou"}:
        return []  # light or dark brown sugar: the words on both sides are judged for themselves
    numbered = any(line[at].kind == "number" for at in range(start, end))
    said_more = words and words[0] in _OR_MORE and not numbered
    if not before and said_more and (plain.endswith(TO_TASTE) or words[0] in UNCOUNTED):
        return []  # the amount that is written is whole; more of it is for whoever bakes
    if plain in TO_TASTE or (words and words[0] in _OR_MORE and plain.endswith(TO_TASTE)):
        return [
            Uncertain.of("to_taste", f"{quoted(text)} was set aside; the amount written counts.")
        ]
    if choice and _MORE_OR_LESS.issuperset(words[1:]) and len(words) > 1:
        return [Uncertain.of("about", f"{quoted(text)} was set aside; the amount written counts.")]
    if choice and not before and not numbered and _EVERYDAY.union(SIZES, _CHOICE).issuperset(words):
        return []  # whole or chopped, fresh or frozen
    if choice:
        offer = f"{quoted(text)} offers a choice; {name} was read. Write the one you use."
        return [Uncertain.of("alternative", offer)]
    if not before and line[start].plain in _PURPOSES and not is_beside(text):
        return []  # for a smooth dough, pour éviter les grumeaux: why, and not how much
    if not before and line[start].plain in UNCOUNTED:
        return [
            Uncertain.of(
                "extra", f"{quoted(text)} was not counted. Give it an amount if it matters."
            )
        ]
    return _judge_words(line, start, end, subject, before=before)


def _offers_no_food(words: list[str], subject: Subject) -> bool:
    """Tell whether words bring in nothing that the ingredient does not hold already."""
    holds = _allergens(subject.ingredient)
    folded = [word for one in words for word in fold(one).split()]
    if not (FREE_FROM | ANOTHER_CHOSEN).isdisjoint(folded):
        return False
    example = " ".join(words).startswith(_EXAMPLES)
    for word in folded:
        food = known_pantry().find(word)
        known = food is not None and _allergens(food) <= holds
        named = food is not None or names_a_food(word) or word in CHANGES_THE_FOOD
        if named and not (example and known):
            return False
    return True


def _allergens(food: Ingredient) -> set[str]:
    return {*(food.allergens_us or ()), *(food.allergens_eu or ())}


def _judge_words(
    line: TokenLine, start: int, end: int, subject: Subject, *, before: bool
) -> list[Uncertain]:
    doubts: list[Uncertain] = []
    unknown: list[int] = []
    for at in range(start, end):
        doubt = _known_doubt(line, at, subject, before=before)
        if doubt is not None:
            doubts.append(doubt)
        elif not _is_harmless(line, at, subject, before=before):
            unknown.append(at)
    if unknown and not before and _is_chat(line, unknown):
        unknown = []
    if unknown and not before and _lists_a_blend(line, unknown, subject):
        unknown = []
    if unknown:
        seen, name = quoted(line.between(unknown[0], unknown[-1] + 1)), subject.ingredient.name
        doubts.append(
            Uncertain.of("words", f"{seen} was not understood; the line was read as {name}.")
        )
    return doubts


def _known_doubt(line: TokenLine, at: int, subject: Subject, *, before: bool) -> Uncertain | None:
    word, ingredient = line[at].plain, subject.ingredient
    if _tells_filling(line, at, subject, before=before):
        return _filling(line, at, ingredient)
    if word in _OPTIONAL:
        return Uncertain.of("optional", "The line says it is optional; it was counted.")
    sized_spoon = word in SIZES and before and read_unit(line, at + 1) is not None
    if (word in HEDGES and _hedges_an_amount(line, at, before=before)) or sized_spoon:
        return Uncertain.of("about", f"{quoted(word)} was set aside; the amount written counts.")
    if word in SIZES and subject.counted and not _is_cut_size(line, at, subject):
        piece = number_words(exact(ingredient.grams_per_unit or 0), by_weight=True)
        size = f"{quoted(word)} was set aside; one {ingredient.unit_name} was taken at {piece} g."
        return Uncertain.of("size", f"{size} Give grams for another size.")
    return None


def _hedges_an_amount(line: TokenLine, at: int, *, before: bool) -> bool:
    """Whether a word such as "about" or "good" is of the amount, and not of the food."""
    if line[at + 1].plain in HANDLING or line[at - 1].text == "(":
        return False
    return before or line[at + 1].kind == "number"


def _is_cut_size(line: TokenLine, at: int, subject: Subject) -> bool:
    """Whether a size is that of what is cut, or the one the ingredient comes in anyway."""
    cut = any(line[at - i].plain in {"in", "into"} for i in range(1, 4))
    return cut or line[at].plain in subject.own_words


def _is_harmless(line: TokenLine, at: int, subject: Subject, *, before: bool) -> bool:
    token = line[at]
    if not before and token.plain in _WATERS and is_set_apart(line, at):
        return True
    if token.kind == "mark":
        return token.text in _SILENT_MARKS or (token.text in "%°" and line[at - 1].kind == "number")
    if not before and (tells_heat_time_length(line, at) or tells_strength(line, at)):
        return True
    if not before and _counts_its_pieces(line, at, subject):
        return True
    if token.plain == FRESH:
        return subject.ingredient.role not in {"flavour", "leavener"}
    if subject.ingredient.role == "flour" and tells_flour_type(line, at):
        return True
    if not before and token.plain in AFTERWARDS and line[at + 1].kind != "number":
        return True
    if token.plain in _EVERYDAY:
        return True
    if token.plain in SIZES and (not subject.counted or _is_cut_size(line, at, subject)):
        return True
    if word_of_egg_size(line, at, subject):
        return True
    if token.plain in HEDGES and not _hedges_an_amount(line, at, before=before):
        return True
    if not before and _is_handling_by_its_ending(line, at):
        return True
    word = fold(token.text)
    return word in subject.own_words or word in subject.other_words


def word_of_egg_size(line: TokenLine, at: int, subject: Subject) -> bool:
    """Tell whether this is of the size that eggs are sold by: Größe M, Gr. L, taille M."""
    of_egg = subject.ingredient.unit_name in EGG_PIECES
    return of_egg and line[at].plain in {
        "größe",
        "grösse",
        "gr",
        "taille",
        "calibre",
        "m",
        "l",
        "s",
    }


SHORTEST_THOUGHT = 4
"""Words of an aside that is a thought and no name: which foods it speaks of changes nothing."""


def _is_chat(line: TokenLine, unknown: list[int]) -> bool:
    """Tell whether words set apart behind a name are of no food: "(the real kind)"."""
    words = fold(" ".join(line[at].text for at in unknown)).split()
    if len(words) >= SHORTEST_THOUGHT and is_aside(line, unknown[0]):
        changed = (FREE_FROM | ANOTHER_CHOSEN).intersection(words)
        return not changed and not any(word.isdigit() for word in words)
    return is_set_apart(line, unknown[0]) and not any(
        word in CHANGES_THE_FOOD
        or word in MAKES_ANOTHER
        or word.isdigit()
        or names_a_food(word)
        or known_pantry().find(word) is not None
        for word in words
    )


def _lists_a_blend(line: TokenLine, unknown: list[int], subject: Subject) -> bool:
    """Tell whether words in brackets are spices that a blend of spices is made of."""
    if subject.ingredient.role != "flavour" or not is_in_brackets(line, unknown[0]):
        return False
    named = (known_pantry().find(line[at].text) for at in unknown if line[at].plain not in JOINTS)
    return all(one is not None and one.role == "flavour" for one in named)


def _is_handling_by_its_ending(line: TokenLine, at: int) -> bool:
    """Tell whether a word after a comma or bracket says what is done: "rinsed", "shelled"."""
    word = line[at].plain
    set_apart = any(line[at - i].text in {",", "(", ";"} for i in range(1, 5))
    return set_apart and len(word) > 5 and word.endswith("ed") and word not in MAKES_ANOTHER


def _tells_filling(line: TokenLine, at: int, subject: Subject, *, before: bool) -> bool:
    word, role = line[at].plain, subject.ingredient.role
    if not subject.by_volume or role not in FILLED_ROLES or word in subject.own_words:
        return False
    if word == "ground" and role == "flour":
        return False  # almonds that are a flour are ground
    if word in FILLED_ALWAYS or (word in _NOT_QUITE and line[at + 1].plain == "packed"):
        return True
    return before and word in FILLED_BEFORE and not (word == "packed" and role == "sugar")


def _filling(line: TokenLine, at: int, ingredient: Ingredient) -> Uncertain:
    word, name = line[at].plain, ingredient.name
    cup = number_words(ingredient.cup_grams or Fraction(0), by_weight=True)
    known = CUP_GRAMS_FILLED.get((word, name))
    return Uncertain.of(
        "filling",
        f"{quoted(word)} says how the cup was filled: such a cup of {name} "
        + (
            f"weighs about {known} g, but was read at {cup} g. "
            if known
            else f"need not weigh the {cup} g it was read at. "
        )
        + "Give grams to be exact.",
    )


def _counts_its_pieces(line: TokenLine, at: int, subject: Subject) -> bool:
    """Whether a number in brackets counts pieces that were weighed: 100 g whites (about 3)."""
    opens = line[at - 1].text == "(" or line[at - 2].text == "("
    closes = line[at + 1].text == ")" or line[at + 1].plain in SIZES | subject.own_words
    known = subject.ingredient.grams_per_unit is not None
    return line[at].kind == "number" and known and opens and closes
