"""The reader of recipe lines: one line of text as a person writes it, into ingredient and amount.

Never a guess in silence: what was read with doubt says so, what cannot be read is refused with a
sentence that says what to do. Its steps are its neighbours: `tokens`, `numerals`,
`quantities`, `segments`, `naming`, `weights`, `remarks`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from models.ingredient import Ingredient
from models.measures import EGG_PIECES, Amount, Part
from models.pantry import Pantry, fold
from models.reading.doubts import Uncertain, UnreadableLine, gravest, quoted
from models.reading.kitchen_words import (
    HANDLING,
    HEAD_ENDS,
    NAMELESS,
    SIZES,
    TO_TASTE,
    UNCOUNTED,
)
from models.reading.naming import Named
from models.reading.quantities import MOST
from models.reading.refusals import (
    is_instruction,
    no_amount,
    second_ingredient,
    too_long,
    too_much,
    unknown_ingredient,
)
from models.reading.remarks import Subject, judge
from models.reading.segments import Phrase, Segment, divide
from models.reading.set_apart import is_in_brackets
from models.reading.several import written_out
from models.reading.shares import Share, name_in, name_share
from models.reading.tokens import TokenLine
from models.reading.unfamiliar import respelt, unfamiliar_food
from models.reading.weights import WeighedQuantity, weigh

MAX_CHARACTERS = 2000


@dataclass(frozen=True, slots=True)
class Reading:
    """What a line means: its main ingredient, the exact amount, and the doubt there was, if any."""

    ingredient: Ingredient
    amount: Amount
    uncertain: Uncertain | None


def read_line(text: str, pantry: Pantry) -> Reading:
    """Return what `text` means with the ingredients of `pantry`; raise UnreadableLine if unclear.

    Takes well under a millisecond for a line as people write them.
    """
    if len(text) > MAX_CHARACTERS:
        raise too_long(text, MAX_CHARACTERS)
    each = written_out(text, pantry)
    if each:
        return _together([read_line(one, pantry) for one in each])
    line = TokenLine(text)
    shares = [name_share(line, segment, pantry) for segment in divide(line, pantry)]
    if not shares[0].segment.quantities:
        return _read_unmeasured(line, shares, pantry)
    doubts: list[Uncertain] = []
    counted = _understand_names(line, shares, pantry, doubts)
    weighed = [_weigh(line, share, pantry, doubts) for share in counted]
    parts: dict[str, Part] = {}
    for share, of in zip(counted, weighed, strict=True):
        before = parts.get(share.known.name, Part(share.known, Fraction(0)))
        parts[share.known.name] = Part(share.known, before.grams + of.grams)
        if share.companion is not None:
            parts.setdefault(*_companion(share, doubts))
    amount = Amount(
        tuple(parts.values()),
        tuple(term for of in weighed for term in of.terms),
        weighed[0].volume if len(weighed) == 1 else (),
    )
    if amount.grams > MOST:
        raise too_much(line.text)
    return Reading(_main([share.known for share in counted]), amount, gravest(doubts))


def _companion(share: Share, doubts: list[Uncertain]) -> tuple[str, Part]:
    """Return the part of a second food that has no amount of its own, and doubt it.

    Of two spices each has the amount; of anything else the second is named and weighs nothing.
    """
    first, second = share.known, share.companion
    assert second is not None
    grams = Fraction(0)
    if {first.role, second.role} <= {"flavour", "salt"}:
        grams = weigh(share.segment.quantities, second).grams
        doubts.append(_several_doubt((first.name, second.name)))
    else:
        said = f"No amount is given for {second.name}; it was counted as 0 g. "
        doubts.append(Uncertain.of("several", said + "Give it a line if it matters."))
    return second.name, Part(second, grams)


def _together(readings: list[Reading]) -> Reading:
    """Return one reading of several foods on one line, each by its own amount."""
    parts: dict[str, Part] = {}
    for part in (part for reading in readings for part in reading.amount.parts):
        before = parts.get(part.ingredient.name, Part(part.ingredient, Fraction(0)))
        parts[part.ingredient.name] = Part(part.ingredient, before.grams + part.grams)
    doubts = [one.uncertain for one in readings if one.uncertain is not None]
    if len(parts) > 1 and any(p.ingredient.unit_name not in EGG_PIECES for p in parts.values()):
        doubts.append(_several_doubt(parts))
    terms = tuple(term for reading in readings for term in reading.amount.terms)
    amount = Amount(tuple(parts.values()), terms)
    return Reading(_main([one.ingredient for one in readings]), amount, gravest(doubts))


def _several_doubt(names: Iterable[str]) -> Uncertain:
    said = f"{' and '.join(names)} were counted, each by its own amount; the line never moves."
    return Uncertain.of("several", f"{said} Write each on a line of its own to let it move.")


def _understand_names(
    line: TokenLine, shares: list[Share], pantry: Pantry, doubts: list[Uncertain]
) -> list[Share]:
    """Return the shares that count, each with its ingredient: one kind, or pieces of eggs.

    "1 stick + 2 tbsp butter" names butter once for both; "plus 2 tbsp for dusting" is set aside.
    """
    counted: list[Share] = []
    for share in shares:
        if share.ingredient is None and counted and _is_aside(line, share.segment):
            doubts.append(_aside_doubt(line, share.segment))
            continue
        if share.ingredient is None and not _is_nameless(line, share.segment):
            _take_as_unfamiliar(line, share, pantry)
        counted.append(share)
    named = [share.ingredient for share in counted if share.ingredient is not None]
    if not named:
        raise unknown_ingredient(line, [], pantry)
    following = None
    for share in reversed(counted):
        following = share.ingredient = share.ingredient or following
    for share, earlier in zip(counted[1:], counted, strict=False):
        share.ingredient = share.ingredient or earlier.ingredient
    names = dict.fromkeys(share.known.name for share in counted)
    if len(names) > 1 and any(one.unit_name not in EGG_PIECES for one in named):
        doubts.append(_several_doubt(names))
    return counted


def _take_as_unfamiliar(line: TokenLine, share: Share, pantry: Pantry) -> None:
    """Give a share the food that an unknown name stands for; raise UnreadableLine for no name."""
    phrase = next((p for p in share.segment.phrases if not _says_nothing(line, p)), None)
    if phrase is None or not share.segment.quantities:
        raise unknown_ingredient(line, share.segment.phrases, pantry)
    start, end = phrase.start, phrase.end
    for at in range(start + 1, end):
        if line[at].text in {",", ";", "("} or line[at].plain in HEAD_ENDS:
            end = at
            break
    while start < end - 1 and (line[start].kind != "word" or line[start].plain in NAMELESS | SIZES):
        start += 1
    while end > start + 1 and (line[end - 1].kind != "word" or line[end - 1].plain in HANDLING):
        end -= 1
    name = line.between(start, end)
    weighed = any(quantity.by_weight for quantity in share.segment.quantities)
    if not any(letter.isalpha() for letter in name) or (is_instruction(line) and not weighed):
        raise unknown_ingredient(line, share.segment.phrases, pantry)
    share.ingredient, share.doubt = respelt(name, pantry) or unfamiliar_food(name)
    share.spans = [(start, end)]


def _says_nothing(line: TokenLine, phrase: Phrase) -> bool:
    return all(
        line[at].kind != "word" or line[at].plain in NAMELESS
        for at in range(phrase.start, phrase.end)
    )


def _is_aside(line: TokenLine, segment: Segment) -> bool:
    words = [line[at].plain for phrase in segment.phrases for at in range(phrase.start, phrase.end)]
    return bool(words) and words[0] in UNCOUNTED


def _aside_doubt(line: TokenLine, segment: Segment) -> Uncertain:
    said = line.between(segment.quantities[0].start, segment.phrases[-1].end)
    return Uncertain.of("extra", f"{quoted(said)} was not counted; give it a line if it matters.")


def _is_nameless(line: TokenLine, segment: Segment) -> bool:
    words = (line[at] for phrase in segment.phrases for at in range(phrase.start, phrase.end))
    return all(word.kind == "mark" or word.plain in NAMELESS for word in words)


def _weigh(
    line: TokenLine, share: Share, pantry: Pantry, doubts: list[Uncertain]
) -> WeighedQuantity:
    """Weigh a share and gather every doubt about it."""
    segment = share.segment
    doubts += [share.doubt] if share.doubt else []
    doubts += _settle_other_names(line, share, pantry)
    try:
        weighed = weigh(segment.quantities, share.known)
    except UnreadableLine:
        if share.doubt is not None and share.doubt.code == "unknown_food":
            raise unknown_ingredient(line, segment.phrases, pantry) from None
        raise
    doubts += weighed.doubts
    counted = any(quantity.count is not None for quantity in segment.quantities)
    if counted and share.known.name == "medium egg":
        said = "A medium egg was taken at 44 g, as in the US; a European one holds 51 g."
        doubts.append(Uncertain.of("size", said))
    subject = Subject(share.known, weighed.quantity.by_volume, counted)
    for quantity in segment.quantities:
        for start, end in quantity.said:
            doubts += judge(line, start, end, subject, before=True)
    first = share.spans[0][0] if share.spans else len(line)
    for start, end in _unnamed_runs(share):
        doubts += judge(line, start, end, subject, before=start < first)
    return weighed


def _settle_other_names(line: TokenLine, share: Share, pantry: Pantry) -> list[Uncertain]:
    """Judge names that follow a quantity of their own, after the name that was read.

    The same name again, or that of its piece, says nothing; another is a choice after "or" and
    else a second ingredient.
    """
    doubts, segment = [], share.segment
    for phrase in segment.phrases:
        if phrase.follows is None or not share.spans or phrase.start < share.spans[-1][1]:
            continue
        other = name_in(line, phrase, pantry)
        if other is None:
            continue
        piece = fold(line.between(other.start, other.end)) == share.known.unit_name
        if other.ingredient.name != share.known.name and not piece:
            offered = phrase.follows in segment.offered or is_in_brackets(line, phrase.start)
            if phrase.follows == 0 or not offered:
                raise second_ingredient(share.known, other.ingredient)
            choice = f"The choice of {other.ingredient.name} was set aside; "
            doubts.append(Uncertain.of("alternative", f"{choice}{share.known.name} was read."))
            segment.quantities[phrase.follows].is_aside = True
            other = Named(other.ingredient, phrase.start, phrase.end)
        share.spans.append((other.start, other.end))
    segment.quantities = [quantity for quantity in segment.quantities if not quantity.is_aside]
    return doubts


def _unnamed_runs(share: Share) -> list[tuple[int, int]]:
    """Return the runs of tokens in the share's phrases that belong to no name."""
    runs = []
    for phrase in share.segment.phrases:
        start = phrase.start
        for named_start, named_end in share.spans:
            if phrase.start <= named_start < phrase.end:
                runs.append((start, named_start))
                start = named_end
        runs.append((start, phrase.end))
    return [(start, end) for start, end in runs if start < end]


def _main(ingredients: list[Ingredient]) -> Ingredient:
    """Return the whole egg of an egg line, else the first ingredient; elsewhere there is one."""
    return next((one for one in ingredients if one.unit_name == EGG_PIECES[0]), ingredients[0])


def _read_unmeasured(line: TokenLine, shares: list[Share], pantry: Pantry) -> Reading:
    """Read a line that names no amount but leaves it to taste, or says "none"."""
    share = shares[0]
    if line[0].plain == "none":
        share = Share(Segment(), pantry.find(line.between(1, len(line))))
    words = [line[at].plain for at in range(len(line)) if line[at].kind == "word"]
    said = f" {' '.join(words)} "
    to_taste = any(f" {phrase} " in said for phrase in TO_TASTE)
    if share.ingredient is None or len(shares) > 1 or not (to_taste or line[0].plain == "none"):
        raise no_amount(line)
    subject = Subject(share.ingredient, by_volume=False, counted=False)
    doubts = [
        doubt
        for start, end in _unnamed_runs(share)
        for doubt in judge(line, start, end, subject, before=False)
        if doubt.code != "to_taste"
    ]
    if to_taste:
        taste = f"To taste, {share.ingredient.name} was counted as 0 g. Give grams if it matters."
        doubts.append(Uncertain.of("to_taste", taste))
    amount = Amount((Part(share.ingredient, Fraction(0)),), ())
    return Reading(share.ingredient, amount, gravest(doubts))
