"""Easing: a limit that stands in the way as a button that gives way by the least that would do.

What a button says is the fields it changes, so that what it does is seen in the form afterwards.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple, assert_never
from urllib.parse import parse_qsl, urlencode

from models.outcome import BoundName, Conflict, WindowBound
from models.ratios import RATIOS
from models.wording import RATIO_WORDS
from service.drawings.lettering import NO_BREAK
from service.page.fields import Fields
from service.page.languages import Say
from service.page.words import in_ten, ratio_number

UNKEPT = "unkept"
"""The field of a button that takes an ingredient off the kept ones."""


class Easing(NamedTuple):
    """What a button says on its face, and the fields it changes."""

    words: str
    changes: str


def easing(
    say: Say, conflicts: Sequence[Conflict], window: Mapping[BoundName, WindowBound]
) -> Easing | None:
    """Return the button that eases `conflicts` together, None where one of them cannot be eased."""
    if not conflicts or any(conflict.relax_to is None for conflict in conflicts):
        return None
    changes = [pair for conflict in conflicts for pair in _changes(conflict, window)]
    return Easing("; ".join(_words(say, each) for each in conflicts), urlencode(changes))


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
    value = repr(conflict.relax_to)
    match conflict.kind:
        case "flour_change":
            yield "flour_change", value
        case "change":
            yield f"most.{conflict.subject}", value
        case "keep":
            yield UNKEPT, str(conflict.subject)
            yield f"most.{conflict.subject}", value
        case "crack_chance":
            yield "crack_chance_percent.max", value
        case "ratio" | "held_ratio":
            yield from _window_changes(conflict, window)
        case _:
            assert_never(conflict.kind)


def _window_changes(
    conflict: Conflict, window: Mapping[BoundName, WindowBound]
) -> Iterator[tuple[str, str]]:
    """Yield both sides: a ratio that is stated replaces the whole of what its form implies."""
    ratio = conflict.subject
    bounds = next((bound for name, bound in window.items() if name == ratio), None)
    for side in ("min", "max"):
        value = conflict.relax_to if side == conflict.side else getattr(bounds, side, None)
        if value is not None:
            yield f"{ratio}.{side}", repr(value)


def _words(say: Say, conflict: Conflict) -> str:
    assert conflict.relax_to is not None, "only what can be eased has words"
    percent = f"{conflict.relax_to:.3g}{NO_BREAK}%"
    match conflict.kind:
        case "flour_change":
            return say("let the flour change by up to %(value)s", value=percent)
        case "change" | "keep":
            name = str(conflict.subject)
            return say("let the %(name)s change by up to %(value)s", name=name, value=percent)
        case "crack_chance":
            return say("accept that %(chance)s crack", chance=say(in_ten(conflict.relax_to)))
        case "ratio" | "held_ratio":
            return _ratio_words(say, conflict)
        case _:
            assert_never(conflict.kind)


def _ratio_words(say: Say, conflict: Conflict) -> str:
    ratio = next(each for each in RATIOS if each == conflict.subject)
    up = "let %(name)s go up to %(value)s"
    message = up if conflict.side == "max" else "let %(name)s go down to %(value)s"
    title = RATIO_WORDS[ratio].title
    name = RATIO_WORDS[ratio].name if say(title) == title else say(title)
    return say(message, name=name, value=ratio_number(ratio, conflict.relax_to))
