"""The form that logs a tray, where the code on a bake sheet leads: what was typed into a trial.

It works without a script. What becomes of the trial is the route's business
(`service.routes.bench`); the calculator page is `service.page.page`.
"""

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError

from models.errors import BadInput, Fault
from models.next_bake import NextBake
from models.trial import MOST_SHEETS, StoredTrial, Trial
from models.trial_scales import CRACK_GRADES, HANDLING_GRADES, TEXTURE_GRADES
from service.page.fields import Fields

SHEETS = range(1, MOST_SHEETS + 1)
_GRADES = re.compile(r"[0-9]+")


@dataclass(frozen=True)
class LoggingPage:
    """What the page shows: the form as typed, and what came of it."""

    kitchen_id: str
    kitchen: str
    fields: Fields
    faults: tuple[Fault, ...] = ()
    logged: str | None = None
    lesson: str | None = None
    next_bake: NextBake | None = None
    scales: dict[str, Sequence[str]] = field(
        default_factory=lambda: {
            "crack": CRACK_GRADES,
            "handling": HANDLING_GRADES,
            "texture": TEXTURE_GRADES,
        }
    )

    def value(self, name: str) -> str:
        """Return what stands in a field."""
        return self.fields.one(name)


def fields_of_last(stored: StoredTrial | None) -> str:
    """Return, as an address has them, the fields that a next tray of the same dough begins with."""
    from urllib.parse import urlencode

    if stored is None:
        return ""
    lines = stored.trial["recipe"].get("lines", [])
    typed = {
        "title": stored.trial["recipe"].get("title") or "",
        "recipe": "\n".join(_line_words(line) for line in lines),
        "form": " ".join(f"{name}={value}" for name, value in stored.trial["form"].items()),
    }
    return urlencode(typed)


def _line_words(line: dict[str, object]) -> str:
    if "text" in line:
        return str(line["text"])
    return f"{line['quantity']:g} {line['unit']} {line['ingredient']}".replace(" each ", " ")


def trial_of(fields: Fields) -> Trial:
    """Return the trial that was typed; raise BadInput with a fault for each field that is wrong."""
    faults: list[Fault] = []
    content: dict[str, object] = {
        "recipe": {
            "title": fields.one("title") or None,
            "lines": [{"text": x} for x in fields.one("recipe").splitlines() if x.strip()],
        },
        "form": dict(_form(fields.one("form"))),
        "chilled": bool(fields.one("chilled")),
        "sheets": list(_sheets(fields, faults)),
    }
    for name in ("handling", "texture"):
        if fields.one(name).isdigit():
            content[name] = int(fields.one(name))
    if fields.one("after"):
        content["flat_round"] = {
            "thickness_mm": _length(fields.one("round_thickness") or fields.one("thickness1")),
            "before_mm": _length(fields.one("before") or "60"),
            "after_mm": _length(fields.one("after")),
        }
    for name, member in (("photograph", "photographs"), ("note", "note")):
        if fields.one(name):
            said = fields.one(name)
            content[member] = [said] if member == "photographs" else said
    try:
        trial = Trial.model_validate_json(json.dumps(content))
    except ValidationError as invalid:
        raise BadInput([*faults, *BadInput.of(invalid).faults]) from None
    if faults:
        raise BadInput(faults)
    return trial


def _sheets(fields: Fields, faults: list[Fault]) -> Iterator[dict[str, object]]:
    for at in SHEETS:
        grades = [int(found) for found in _GRADES.findall(fields.one(f"grades{at}"))]
        if not grades:
            continue
        slid = fields.one(f"slid{at}") or "0"
        if not slid.isdigit() or int(slid) > len(grades):
            message = f"must be a number up to {len(grades)}, the pieces of that sheet"
            faults.append(Fault(pointer=f"/slid{at}", message=message))
            slid = "0"
        yield {
            "thickness_mm": _length(fields.one(f"thickness{at}")),
            "pieces": [
                {"crack_grade": grade, "slipped": place < int(slid)}
                for place, grade in enumerate(sorted(grades, reverse=True))
            ],
        }


def _form(typed: str) -> Iterator[tuple[str, object]]:
    for part in typed.split():
        name, equals, value = part.partition("=")
        if equals:
            yield name, value if name == "kind" else _length(value)


def _length(typed: str) -> object:
    try:
        return float(typed.replace(",", "."))
    except ValueError:
        return typed
