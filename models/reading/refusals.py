"""Why a line cannot be read, in sentences: what was seen, what is expected, and what to do."""

from models.ingredient import Ingredient
from models.pantry import Pantry
from models.reading.doubts import UnreadableLine, quoted
from models.reading.kitchen_words import HEAT_TIME_LENGTH, VAGUE
from models.reading.segments import Phrase
from models.reading.tokens import TokenLine

_EXAMPLE = 'for instance "250 g flour" or "2 cups flour"'


def too_long(text: str, most: int) -> UnreadableLine:
    """Refuse a line longer than `most` characters."""
    return UnreadableLine(
        f"The line has {len(text)} characters; a line of a recipe has at most {most}. "
        "Write each ingredient on a line of its own.",
        rest=text[:80],
    )


def too_much(text: str) -> UnreadableLine:
    """Refuse an amount that no kitchen weighs out."""
    return UnreadableLine(
        f"{quoted(text)} is more than a million grams. Check the number and the unit.", rest=text
    )


def no_amount(line: TokenLine) -> UnreadableLine:
    """Refuse a line without an amount that can be weighed."""
    vague = next((token for token in line if token.plain in VAGUE), None)
    if vague is not None:
        return UnreadableLine(
            f"{quoted(vague.text)} is no measure that can be weighed. "
            "Give grams, or cups and spoons.",
            rest=vague.text,
        )
    if is_instruction(line):
        return _instruction(line)
    seen = quoted(line.text) if len(line) else "The line is empty; it"
    return UnreadableLine(
        f"{seen} gives no amount. Write a number, a unit and an ingredient, {_EXAMPLE}.",
        rest=line.text,
    )


def unknown_ingredient(line: TokenLine, phrases: list[Phrase], pantry: Pantry) -> UnreadableLine:
    """Refuse a name that the pantry does not know, naming the nearest it does."""
    if is_instruction(line):
        return _instruction(line)
    name = " ".join(line.between(phrase.start, phrase.end) for phrase in phrases)
    name = name.strip(" ,.;:-–—").removeprefix("of ")
    if not name:
        return UnreadableLine(
            f"{quoted(line.text)} names no ingredient. "
            f"Write a number, a unit and an ingredient, {_EXAMPLE}.",
            rest=line.text,
        )
    near = pantry.nearest(name)
    hint = f"Did you mean {' or '.join(near)}? Otherwise describe" if near else "Describe"
    return UnreadableLine(
        f"{quoted(name)} is not a known ingredient. {hint} it as an ingredient of your own.",
        rest=name,
        suggestions=near,
    )


def second_ingredient(first: Ingredient, second: Ingredient) -> UnreadableLine:
    """Refuse a line with two ingredients that both count."""
    return UnreadableLine(
        f"The line names both {first.name} and {second.name}. "
        "Write each ingredient on a line of its own.",
        rest=second.name,
        suggestions=(first.name, second.name),
    )


def is_instruction(line: TokenLine) -> bool:
    """Tell whether a number of the line is a time, a heat or a length."""
    return any(
        token.kind == "number"
        and (line[at + 1].plain in HEAT_TIME_LENGTH or line[at + 1].text == "°")
        for at, token in enumerate(line)
    )


def _instruction(line: TokenLine) -> UnreadableLine:
    return UnreadableLine(
        f"{quoted(line.text)} gives a time, a heat or a length, not an amount of an ingredient. "
        f"Leave it out, or write a number, a unit and an ingredient, {_EXAMPLE}.",
        rest=line.text,
    )
