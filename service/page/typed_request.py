"""What was typed, as the request that a program would send, and what of it cannot be one.

Numbers that are no numbers are faults of their own fields; all else is judged by `models.brief`, so
that the page and the interface ask and refuse alike.
"""

import json
import re
from collections.abc import Iterator
from typing import Any, TypeVar

from models.brief import DEFAULT_WEIGHTS, Bounded
from models.dimension import read_length_mm
from models.errors import BadInput
from models.form_words import MEMBERS
from models.ratios import RATIOS
from service.page.faults import FieldFault, beside_fields
from service.page.fields import Fields
from service.page.pins import SHARES
from service.page.understood import Understood
from service.questions.knowing import Knowing, knows_no_kitchen
from service.reading.strict_json import understand
from solver.ladder import THINNEST_STEP_MM

NO_FORM = "none"

BATCHES = {"pieces": "pieces", "dough": "dough_grams", "flour": "flour_grams"}
"""The fields that say how large the batch is; the first that is filled in counts."""

CLOSER = 2.0
"""How much dearer the recipe's lines are for who would stay closer to it: so the sheet gives way
first. Judgement."""

SAFER_PERCENT = 10.0
"""The chance that is left to who would be safer, unless told."""

_NUMBER = re.compile(r"[+-]?\d{1,9}([.,]\d{1,30})?", re.ASCII)
_PLAIN_LENGTH = re.compile(r"[\d\s./,½¼¾⅓⅔⅛⅜⅝⅞⁄]+")

Asked = TypeVar("Asked", bound=Bounded)


class TypedRequest:
    """A request as JSON would hold it, and the faults of what was typed."""

    def __init__(
        self, fields: Fields, understood: Understood, knowing: Knowing = knows_no_kitchen
    ) -> None:
        """Read `fields`; their lines are already `understood`, `knowing` knows the kitchens."""
        self._knowing = knowing
        self.fields = fields
        self.kind = fields.one("form") or NO_FORM
        self.faults: list[FieldFault] = []
        if understood.fault:
            self.faults.append(FieldFault("lines", understood.fault))
        self.line_numbers = tuple(line.number for line in understood.lines)
        self.recipe = understood.recipe()
        if fields.one("title").strip():
            self.recipe["title"] = fields.one("title").strip()
        self._described(understood)
        self.target = self._target()
        self.limits = self._limits(set(understood.ingredients))
        self.window = self._window()
        self.members = self._members()

    def understood(self, asked: type[Asked], **more: Any) -> Asked | None:
        """Return the request with `more` in it as a value; None where there are faults."""
        if not self.recipe["lines"] and not self.faults:
            self.faults.append(FieldFault("lines", "Write or paste at least one line."))
        if self.target is None and not self.window and not self.faults:
            self.faults.append(
                FieldFault("form", "Choose a form, or fill in one ratio or more by hand.")
            )
        if self.faults and not self.recipe["lines"]:
            return None
        try:
            value = understand(json.dumps({**self.members, **more}).encode(), asked)
            if value.kitchen is not None and not self.faults:
                value = value.taught_by(self._knowing(value.kitchen))
        except BadInput as bad:
            self._add(beside_fields(bad.faults, self.kind, self.line_numbers))
            return None
        return None if self.faults else value

    def _described(self, understood: Understood) -> None:
        """Fault what was said of a line and is no number, or says less than is needed."""
        for line in understood.lines:
            for name in (f"{at}{line.text}" for at in ("grams.", *SHARES.values())):
                if self.fields.one(name).strip():
                    self.number(name)
            if line.lacks_weight:
                said = f"Say what “{line.text[:60]}” weighs, in grams."
                self.faults.append(FieldFault("lines", said, line.number))

    def _add(self, faults: list[FieldFault]) -> None:
        """Keep the faults of fields that have none yet; a field's own word goes first."""
        known = {(fault.field, fault.line) for fault in self.faults}
        self.faults += [fault for fault in faults if (fault.field, fault.line) not in known]

    def _members(self) -> dict[str, Any]:
        members: dict[str, Any] = {
            "recipe": self.recipe,
            "limits": self.limits,
            "target": self.target,
            "window": self.window or None,
        }
        if self.fields.one("lean") == "closer":
            members["weights"] = {role: CLOSER * w for role, w in DEFAULT_WEIGHTS.items()}
        if self.fields.one("kitchen"):
            members["kitchen"] = self.fields.one("kitchen")
        if self.fields.one("powder").strip():
            members["powder_strength"] = self.number("powder")
        return members

    def of_batch(self) -> dict[str, Any]:
        """Return what a reformulation is told beyond bounds: measures, and how large a batch."""
        measures: dict[str, Any] = {"measures": self.fields.one("measures")}
        if self.fields.one("quarter"):
            return {**measures, "batch": {"factor": 0.25}}
        given = [name for name in BATCHES if self.fields.one(name).strip()]
        if not given:
            return measures
        size = self.number(given[0])
        whole = size is not None and size.is_integer() and given[0] == "pieces"
        return {**measures, "batch": {BATCHES[given[0]]: int(size) if whole and size else size}}

    def _target(self) -> dict[str, Any] | None:
        if self.kind == NO_FORM:
            return None
        form: dict[str, Any] = {"kind": self.kind}
        for member in MEMBERS.get(self.kind, {}):
            name = f"{self.kind}.{member}"
            if self.fields.one(name).strip():
                form[member] = self._length(name) if member.endswith("_mm") else self.number(name)
        crests = form.get("crests")
        if isinstance(crests, float) and crests.is_integer():
            form["crests"] = int(crests)
        target: dict[str, Any] = {"form": form, "thickness_mm": self._length("thickness")}
        chilled = bool(self.fields.one("chilled"))
        target |= {"chilled": chilled, "may_chill": not self.fields.one("stay.warm")}
        return target if self.fields.one("stay.thickness") else {**target, **self._thinner()}

    def _thinner(self) -> dict[str, Any]:
        """Return how thin the sheet may be rolled: to what can still be lifted, as bakers say."""
        typed = self._length("thickness")
        try:
            planned = read_length_mm(typed)
        except ValueError:
            return {}
        thin = isinstance(planned, float) and planned < THINNEST_STEP_MM
        return {"may_roll_to_mm": typed if thin else f"{THINNEST_STEP_MM:g} mm"}

    def _limits(self, ingredients: set[str]) -> dict[str, Any]:
        """Return the limits; what is no longer in the recipe limits nothing."""
        kept = [name for name in dict.fromkeys(self.fields.all("keep")) if name in ingredients]
        added = [name.strip() for name in self.fields.one("may_add").split(",") if name.strip()]
        limits: dict[str, Any] = {"keep": kept, "may_add": added}
        changes = {
            name: self.number(f"most.{name}")
            for name, _ in self.fields.under("most")
            if name in ingredients
        }
        limits["max_change_percent"] = {n: v for n, v in changes.items() if v is not None}
        if self.fields.one("flour_change").strip():
            limits["max_flour_change_percent"] = self.number("flour_change")
        return limits

    def _window(self) -> dict[str, Any]:
        sides = ((ratio, dict(self._sides(ratio))) for ratio in (*RATIOS, "crack_chance_percent"))
        window = {ratio: bounds for ratio, bounds in sides if bounds}
        if self.fields.one("lean") == "safer" and self.target:
            window.setdefault("crack_chance_percent", {"max": SAFER_PERCENT})
        return window

    def _sides(self, ratio: str) -> Iterator[tuple[str, float | None]]:
        for side in ("min", "max"):
            if self.fields.one(f"{ratio}.{side}").strip():
                yield side, self.number(f"{ratio}.{side}")

    def number(self, name: str) -> float | None:
        """Return the number typed into a field; None, and a fault, where there is none."""
        typed = self.fields.one(name).strip()
        typed = typed.removesuffix("%").removesuffix("°").removesuffix("g").strip()
        if not _NUMBER.fullmatch(typed):
            self.faults.append(FieldFault(name, f"“{typed[:40]}” is no number; write it as 2.1."))
            return None
        return float(typed.replace(",", "."))

    def _length(self, name: str) -> str:
        """Return a length in words; a plain number is in the unit that was chosen."""
        typed = self.fields.one(name).strip()
        unit = "in" if self.fields.one("lengths") == "in" else "mm"
        return f"{typed} {unit}" if _PLAIN_LENGTH.fullmatch(typed) else typed
