"""Easing: a limit that stands in the way as a button that gives way by the least that would do.

What a button says is the fields it changes, so that what it does is seen in the form afterwards.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple
from urllib.parse import parse_qsl, urlencode

from models.outcome import BoundName, Conflict, WindowBound
from models.ratios import RATIOS, RatioName
from service.drawings.lettering import NO_BREAK
from service.page.fields import Fields
from service.page.words import RATIO_NAMES, is_share

UNKEPT = "unkept"
"""The field of a button that takes an ingredient off the kept ones."""


class Easing(NamedTuple):
    """What a button says on its face, and the fields it changes."""

    words: str
    changes: str


def easing(conflicts: Sequence[Conflict], window: Mapping[BoundName, WindowBound]) -> Easing | None:
    """Return the button that eases `conflicts` together, None where one of them cannot be eased."""
    if not conflicts or any(conflict.relax_to is None for conflict in conflicts):
        return None
    changes = [pair for conflict in conflicts for pair in _changes(conflict, window)]
    return Easing(", and ".join(map(_words, conflicts)), urlencode(changes))


def eased(fields: Fields, changes: str) -> Fields:
    """Return `fields` as the button changes them."""
    pairs = parse_qsl(changes, keep_blank_values=True, errors="replace", max_num_fields=20)
    unkept = {value for name, value in pairs if name == UNKEPT}
    kept = tuple(name for name in fields.all("keep") if name not in unkept)
    changed = {name: (value,) for name, value in pairs if name != UNKEPT}
    return fields.having({**changed, "keep": kept})


def _changes(
    conflict: Conflict, window: Mapping[BoundName, WindowBound]
) -> Iterator[tuple[str, str]]:
    kind, _, name = conflict.limit.partition(".")
    value = repr(conflict.relax_to)
    match kind:
        case "max_flour_change_percent":
            yield "flour_change", value
        case "max_change_percent":
            yield f"most.{name}", value
        case "keep":
            yield UNKEPT, name
            yield f"most.{name}", value
        case _:
            yield from _window_changes(conflict, window)


def _window_changes(
    conflict: Conflict, window: Mapping[BoundName, WindowBound]
) -> Iterator[tuple[str, str]]:
    """Yield both sides: a ratio that is stated replaces the whole of what its form implies."""
    ratio, _, side = conflict.limit.partition(".")
    bounds = next((bound for name, bound in window.items() if name == ratio), None)
    for each in ("min", "max"):
        value = conflict.relax_to if each == side else getattr(bounds, each, None)
        if value is not None:
            yield f"{ratio}.{each}", repr(value)


def _words(conflict: Conflict) -> str:
    kind, _, name = conflict.limit.partition(".")
    value = f"{conflict.relax_to:.4g}"
    match kind:
        case "max_flour_change_percent":
            return f"let the flour change by up to {value}{NO_BREAK}%"
        case "max_change_percent" | "keep":
            return f"let the {name} change by up to {value}{NO_BREAK}%"
        case "crack_chance_percent":
            return f"accept an estimated {value}{NO_BREAK}% chance of a crack"
    ratio: RatioName = next(each for each in RATIOS if each == kind)
    way, unit = "up to" if name == "max" else "down to", f"{NO_BREAK}%" if is_share(kind) else ""
    return f"let {RATIO_NAMES[ratio].lower()} go {way} {value}{unit}"
