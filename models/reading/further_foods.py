"""Foods that a doubtful line names beside those that were counted, for what allergens they bring.

"1 cup milk or almond milk" is read as milk; that it may hold nuts must be said all the same.
"""

from collections.abc import Iterator

from models.ingredient import Ingredient
from models.pantry import Pantry
from models.reading.line import Reading
from models.reading.naming import find_whole_name
from models.reading.tokens import TokenLine

LONGEST_NAME = 4
"""Words of a name that is looked for."""


def may_hold_more(text: str, reading: Reading, pantry: Pantry) -> bool:
    """Tell whether a line that was read with doubt names a food with further allergens."""
    if reading.uncertain is None:
        return False
    counted = [_allergens(part.ingredient) for part in reading.amount.parts]
    held: set[str] = set().union(*counted)
    return any(not _allergens(food) <= held for food in _foods_in(text, pantry))


def _foods_in(text: str, pantry: Pantry) -> Iterator[Ingredient]:
    line = TokenLine(text)
    at = 0
    while at < len(line):
        ends = range(min(len(line), at + LONGEST_NAME), at, -1)
        named = ((find_whole_name(line, at, end, pantry), end) for end in ends)
        food, end = next(((food, end) for food, end in named if food is not None), (None, at + 1))
        if food is not None:
            yield food
        at = end


def _allergens(food: Ingredient) -> set[str]:
    return {*(food.allergens_us or ()), *(food.allergens_eu or ())}
