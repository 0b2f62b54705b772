"""Faults beside their fields: what was wrong, in which field, kindly.

The brief's own faults come with pointers into a request; here each finds the field it was typed in.
"""

from collections.abc import Iterable
from typing import NamedTuple

from models.errors import Fault


class FieldFault(NamedTuple):
    """What is wrong with a field, and of a recipe's text with which line (counted from 1)."""

    field: str
    message: str
    line: int | None = None


def beside_fields(
    faults: Iterable[Fault], kind: str, line_numbers: tuple[int, ...]
) -> list[FieldFault]:
    """Return the faults of a request, each with the field of the page that caused it."""
    return [_beside(fault, kind, line_numbers) for fault in faults]


def _beside(fault: Fault, kind: str, line_numbers: tuple[int, ...]) -> FieldFault:
    steps = [step.replace("~1", "/").replace("~0", "~") for step in fault.pointer.split("/")[1:]]
    match steps:
        case ["recipe", "lines", number, *_] if number.isdigit() and int(number) < len(
            line_numbers
        ):
            return FieldFault("lines", fault.message, line_numbers[int(number)])
        case ["recipe", "lines", *_]:
            return FieldFault("lines", f"The recipe {fault.message}.")
        case ["recipe", "custom_ingredients", *_]:
            return FieldFault("lines", f"A food of your own: {fault.message}.")
        case ["recipe", "title", *_]:
            return FieldFault("title", fault.message)
        case ["target", "form", member, *_] if member != "kind":
            return FieldFault(f"{kind}.{member}", fault.message)
        case ["target", "form", *_]:
            return FieldFault("form", fault.message)
        case ["target", "thickness_mm", *_]:
            return FieldFault("thickness", fault.message)
        case ["window", ratio, side] if side in {"min", "max"}:
            return FieldFault(f"{ratio}.{side}", fault.message)
        case ["window", ratio, *_]:
            return FieldFault(f"{ratio}.min", fault.message)
        case ["limits", "max_flour_change_percent", *_]:
            return FieldFault("flour_change", fault.message)
        case ["limits", "max_change_percent", name, *_]:
            return FieldFault(f"most.{name}", fault.message)
        case ["batch", "dough_grams" | "flour_grams" as way, *_]:
            return FieldFault(way.removesuffix("_grams"), fault.message)
        case ["batch", *_]:
            return FieldFault("pieces", fault.message)
        case ["limits", "may_add", *_]:
            return FieldFault("may_add", fault.message)
        case ["kitchen", *_]:
            return FieldFault("kitchen", "This kitchen is not one of yours; choose another.")
        case ["powder_strength", *_]:
            return FieldFault("powder", fault.message)
        case []:
            return FieldFault("form", fault.message)
    return FieldFault("", f"{fault.pointer}: {fault.message}")
