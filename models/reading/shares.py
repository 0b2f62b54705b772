"""The name in each share of a line: which food it is of, and what words beside the name make of it.

A share is a segment with its ingredient. Names are found by `models.reading.naming`; what a line
makes of its shares together is `models.reading.line`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from models.ingredient import Ingredient
from models.pantry import Pantry, fold
from models.reading.doubts import Uncertain
from models.reading.kitchen_words import (
    CHANGES_THE_FOOD,
    DRIED,
    FILLED_ALWAYS,
    FILLED_BEFORE,
    FIRMLY,
    FREE_FROM,
    HEAD_ENDS,
    JOINTS,
    NAMELESS,
    SIZES,
)
from models.reading.naming import Named, find_kind, find_name, find_piece, find_turned_name
from models.reading.refusals import second_ingredient
from models.reading.remarks import Subject
from models.reading.segments import Phrase, Segment
from models.reading.tokens import DASHES, Token, TokenLine
from models.reading.unfamiliar import unfamiliar_food
from models.usda_foods import names_a_food

_FILLINGS = FILLED_BEFORE | FILLED_ALWAYS | FIRMLY


@dataclass(slots=True)
class Share:
    """One segment with its ingredient and the tokens that name it."""

    segment: Segment
    ingredient: Ingredient | None = None
    spans: list[tuple[int, int]] = field(default_factory=list)
    doubt: Uncertain | None = None
    companion: Ingredient | None = None
    """Another food behind "and", without an amount of its own."""

    @property
    def known(self) -> Ingredient:
        """The ingredient, once every share has one."""
        assert self.ingredient is not None
        return self.ingredient


def name_share(line: TokenLine, segment: Segment, pantry: Pantry) -> Share:
    """Find which ingredient a segment names, and where."""
    if segment.quantities and segment.quantities[0].is_bare:
        counted = next((phrase for phrase in segment.phrases if phrase.follows == 0), None)
        if counted is not None:
            return _name_of_pieces(line, segment, counted, pantry)
    return _name_of_anything(line, segment, pantry)


def _name_of_pieces(line: TokenLine, segment: Segment, counted: Phrase, pantry: Pantry) -> Share:
    opening = segment.phrases[0]
    if opening is not counted:
        part, whole = (line.between(each.start, each.end) for each in (opening, counted))
        turned = find_turned_name(part, whole, pantry)
        if turned is not None:
            spans = [(opening.start, opening.end), (counted.start, counted.end)]
            return Share(segment, turned, spans)
    piece = find_piece(line, counted.start, counted.end, pantry)
    if piece is not None:
        return Share(segment, piece.ingredient, [(piece.start, piece.end)])
    return _name_of_anything(line, segment, pantry)


def _name_of_anything(line: TokenLine, segment: Segment, pantry: Pantry) -> Share:
    for phrase in segment.phrases:
        named = name_in(line, phrase, pantry)
        if named is None and _names_something(line, phrase, segment):
            return Share(segment)  # 200 ml liquid (milk, juice): what stands in brackets is no name
        if named is not None:
            share = (
                _another_food(line, segment, phrase, named)
                or _kind_in_brackets(line, segment, named, pantry)
                or Share(segment, named.ingredient, [(named.start, named.end)])
            )
            _find_companion(line, share, phrase, pantry)
            return share
    return Share(segment)


def _kind_in_brackets(
    line: TokenLine, segment: Segment, named: Named, pantry: Pantry
) -> Share | None:
    """Return the brown sugar of "sugar (brown)"; None where brackets say no kind."""
    opens, word, closes = (line[named.end + at] for at in range(3))
    if opens.text != "(" or closes.text != ")" or word.kind != "word":
        return None
    found = find_kind(word.text, line.between(named.start, named.end), pantry)
    if found is None:
        return None
    at = named.end + 1
    return Share(segment, found, [(named.start, named.end), (at, at + 1)])


def _names_something(line: TokenLine, phrase: Phrase, segment: Segment) -> bool:
    """Tell whether words right behind the amount, brackets after them, are a name of their own."""
    if phrase.follows != 0 or line[phrase.end].text not in {"(", "["} or len(segment.phrases) < 2:
        return False
    words = (line[at] for at in range(phrase.start, phrase.end) if line[at].kind == "word")
    return not all(word.plain in NAMELESS | SIZES | _FILLINGS for word in words)


def _another_food(line: TokenLine, segment: Segment, phrase: Phrase, named: Named) -> Share | None:
    """Return what words beside a known name make of it: of coconut flour, no wheat flour."""
    start, end = named.start, named.end
    while start > phrase.start and _is_part_of_name(line, start - 1):
        start -= 1
    while end < phrase.end and _is_part_of_name(line, end):
        end += 1
    beside = [line[at] for at in (*range(start, named.start), *range(named.end, end))]
    if not any(_makes_another(word, named.ingredient) for word in _folded(beside)):
        return None
    while start < named.start and line[start].plain in NAMELESS:
        start += 1
    changing = _changing(_folded(beside), named.ingredient)
    fresh = DRIED.isdisjoint(changing)  # a dried banana is no liquid
    role = named.ingredient.role if end == named.end and fresh else None
    like = named.ingredient if role and FREE_FROM.issuperset(changing) else None
    found, doubt = unfamiliar_food(line.between(start, end), role, like)
    return Share(segment, found, [(start, end)], doubt)


def _changing(words: list[str], ingredient: Ingredient) -> list[str]:
    """Return the words that make another food of it; of "gluten free" only the two as one."""
    free = {word for word in words if word in FREE_FROM}
    return [
        word
        for word in words
        if _makes_another(word, ingredient)
        and (word in free or not any(word in one for one in free))
    ]


def _makes_another(word: str, ingredient: Ingredient) -> bool:
    """Tell whether a word beside a name is a food of its own, and none that the name has anyway."""
    if word in CHANGES_THE_FOOD:
        return word not in fold(ingredient.name).split()
    subject = Subject(ingredient, by_volume=False, counted=False)
    usual = word in NAMELESS | SIZES or word in subject.own_words | subject.other_words
    return not usual and names_a_food(word)


def _is_part_of_name(line: TokenLine, at: int) -> bool:
    """Tell whether a token may be of a name: a word, or a dash that joins two."""
    token = line[at]
    joins = token.text in DASHES and line.touches(at)
    return (token.kind == "word" and token.plain not in HEAD_ENDS) or joins


def _folded(tokens: Sequence[Token]) -> list[str]:
    """Return words as they are compared, and each with the next: gluten-free is one word."""
    words = fold(" ".join(token.text for token in tokens if token.kind == "word")).split()
    return [*words, *(a + b for a, b in pairwise(words))]


def _find_companion(line: TokenLine, share: Share, phrase: Phrase, pantry: Pantry) -> None:
    """Note the ginger of "1 tsp cinnamon and ginger"; refuse one of eggs, which come in pieces."""
    after = share.spans[-1][1]
    if line[after].plain not in JOINTS or after >= phrase.end:
        return
    other = find_name(line, after + 1, phrase.end, pantry)
    if other is None or other.ingredient.name == share.known.name:
        return
    if not share.segment.quantities or "egg" in (share.known.role, other.ingredient.role):
        raise second_ingredient(share.known, other.ingredient)
    share.companion = other.ingredient
    share.spans.append((after, other.end))


def name_in(line: TokenLine, phrase: Phrase, pantry: Pantry) -> Named | None:
    """Return what a phrase names, and where; None for nothing known."""
    if phrase.ingredient is not None:
        return Named(phrase.ingredient, phrase.start, phrase.end)
    return find_name(line, phrase.start, phrase.end, pantry)
