"""Further faults: what else is wrong with a request, behind the faults that were found first.

A value's own checks of one member against another run only where both can be read: a misspelt
ingredient in a line would hide a misspelt one among the limits. Here every part at fault is set
aside, with something harmless in its place, and the rest is read again. What a request may hold is
said by the values themselves; how bytes are read is `service.reading.strict_json`.
"""

import copy
import json
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import Any

from pydantic import ValidationError

from models.errors import BadInput, Fault, pointer
from models.value import Value

Place = tuple[int | str, ...]

MOST_ROUNDS = 3
"""Members, members against members, the whole: nothing hides deeper than that."""
ALIKE = 0.6
"""A name this much like a line at fault may well mean that line; it is not called a stranger."""

_ANY_FLOUR = "the line at fault"
_STAND_INS: dict[str, Any] = {
    "window": {},
    "target": {"form": {"kind": "flat_round", "diameter_mm": 60}, "thickness_mm": 4},
}
_VARIANTS = "edits"
"""Without one of its members an edit would be one of another kind; it is set aside whole."""
_SET_ASIDE = object()


def further_faults(content: Any, found: Sequence[str], model: type[Value]) -> Iterator[Fault]:
    """Yield the faults of `content` that those at the JSON pointers `found` hide."""
    request, known = copy.deepcopy(content), [_steps(shown) for shown in found]
    lines_at_fault: list[str] = []
    for _ in range(MOST_ROUNDS):
        for place in known:
            _set_aside(request, place, lines_at_fault)
        rest, numbers = _without_gaps(request)
        try:
            model.model_validate_json(json.dumps(rest, ensure_ascii=False).encode(errors="replace"))
            return
        except ValidationError as invalid:
            fresh: list[Place] = []
            for item in BadInput.of(invalid).faults:
                place = _numbered(_steps(item.pointer), numbers)
                if _is_news(place, known) and not _means_one_of(item.message, lines_at_fault):
                    fresh.append(place)
                    yield Fault(pointer=pointer(place), message=item.message)
        if not fresh:
            return
        known = [*known, *fresh]


def _steps(shown: str) -> Place:
    steps = (step.replace("~1", "/").replace("~0", "~") for step in shown.split("/")[1:])
    return tuple(int(step) if step.isdecimal() else step for step in steps)


def _is_news(place: Place, known: Sequence[Place]) -> bool:
    """Tell whether a fault is not of a part set aside, nor of what holds one."""
    return not any(place[: len(k)] == k or (place and k[: len(place)] == place) for k in known)


def _set_aside(request: Any, place: Place, lines_at_fault: list[str]) -> None:
    if not place or not isinstance(request, dict):
        return
    line = place[: place.index("lines") + 2] if "lines" in place else ()
    if len(place) > 2 and len(line) > 2 and isinstance(line[-1], int) and _is_there(request, line):
        _set_line_aside(request, line, lines_at_fault)
    elif place[0] == "target" or (place[0] == "window" and len(place) == 1):
        request[place[0]] = copy.deepcopy(_STAND_INS[place[0]])
    else:
        holder, step = _deepest(request, place[:2] if place[0] == _VARIANTS else place)
        if isinstance(holder, list) and isinstance(step, int):
            holder[step] = _SET_ASIDE
        elif isinstance(holder, dict):
            holder.pop(step, None)


def _set_line_aside(request: dict[str, Any], place: Place, lines_at_fault: list[str]) -> None:
    """Put a flour of its own in the place of a line, which may have been one."""
    recipe: Any = request
    for step in place[:-2]:
        recipe = recipe[step]
    line, at = recipe["lines"][int(place[-1])], int(place[-1])
    if isinstance(line, dict) and line.get("ingredient") == _ANY_FLOUR:
        return
    words = line.values() if isinstance(line, dict) else [line]
    lines_at_fault += [word for word in words if isinstance(word, str)]
    recipe["lines"][at] = {"ingredient": _ANY_FLOUR, "quantity": 100, "unit": "g"}
    own = recipe.setdefault("custom_ingredients", [])
    if isinstance(own, list) and not any(o.get("name") == _ANY_FLOUR for o in _objects(own)):
        shares = {"water_percent": 0, "fat_percent": 0, "sugars_percent": 0}
        own.append({"name": _ANY_FLOUR, "role": "flour", **shares})


def _is_there(request: Any, place: Place) -> bool:
    """Tell whether what `place` leads to has not been set aside with something around it."""
    holder = request
    for step in place:
        if not _has(holder, step):
            return False
        holder = holder[step]
    return True


def _objects(values: list[Any]) -> list[dict[str, Any]]:
    return [value for value in values if isinstance(value, dict)]


def _deepest(request: Any, place: Place) -> tuple[Any, int | str]:
    """Return the innermost part of `place` that is there, by what holds it."""
    holder, step = request, place[0]
    for deeper in place[1:]:
        inner = _inside(holder, step)
        if not _has(inner, deeper):
            break
        holder, step = inner, deeper
    return holder, step


def _inside(holder: Any, step: int | str) -> Any:
    return holder[step] if _has(holder, step) else None


def _has(holder: Any, step: int | str) -> bool:
    if isinstance(holder, list):
        return isinstance(step, int) and step < len(holder)
    return isinstance(holder, dict) and step in holder


def _without_gaps(request: Any) -> tuple[Any, dict[Place, list[int]]]:
    """Return the request without what was set aside in its lists, and the numbers of the rest."""
    numbers: dict[Place, list[int]] = {}

    def closed(value: Any, place: Place) -> Any:
        if isinstance(value, dict):
            return {name: closed(inner, (*place, name)) for name, inner in value.items()}
        if not isinstance(value, list):
            return value
        numbers[place] = [at for at, inner in enumerate(value) if inner is not _SET_ASIDE]
        return [closed(value[at], (*place, at)) for at in numbers[place]]

    return closed(request, ()), numbers


def _numbered(place: Place, numbers: dict[Place, list[int]]) -> Place:
    """Return a place in what was read as a place in the request."""
    real: Place = ()
    for step in place:
        kept = numbers.get(real)
        inside = isinstance(step, int) and kept is not None and step < len(kept)
        real = (*real, kept[step] if inside and kept and isinstance(step, int) else step)
    return real


def _means_one_of(message: str, lines_at_fault: Sequence[str]) -> bool:
    """Tell whether a name that is said to be missing is much like a line that is at fault."""
    if not message.startswith('"'):
        return False
    name = message[1:].partition('"')[0].casefold()
    return any(
        name in line.casefold() or SequenceMatcher(None, name, line.casefold()).ratio() > ALIKE
        for line in lines_at_fault
    )
