"""Fields: what was typed into the page, by name, as it was typed.

They come in a form's body or in an address, and go back into the page and into the address that
shares it. What they mean is `service.page.typed_request`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from urllib.parse import parse_qsl, urlencode

from service.problems import BODY_TOO_LARGE, Refused

MOST_FIELDS = 1000
"""A recipe has 200 lines, and each line two fields of its own."""

DEFAULTS = {
    "form": "cylinder",
    "thickness": "4 mm",
    "measures": "as_written",
    "lengths": "mm",
    "lean": "balanced",
    "cylinder.diameter_mm": "80 mm",
    "cylinder.wrap_degrees": "150",
    "cylinder.length_mm": "100 mm",
    "cone.base_diameter_mm": "90 mm",
    "cone.top_diameter_mm": "50 mm",
    "cone.height_mm": "110 mm",
    "cone.wrap_degrees": "180",
    "dome.diameter_mm": "160 mm",
    "dome.cap_degrees": "60",
    "wave.crest_radius_mm": "25 mm",
    "wave.slope_degrees": "40",
    "wave.width_mm": "100 mm",
    "wave.crests": "3",
    "leaning_panel.width_mm": "80 mm",
    "leaning_panel.height_mm": "120 mm",
    "leaning_panel.lean_degrees": "20",
    "flat_round.diameter_mm": "80 mm",
    "flat_panel.width_mm": "80 mm",
    "flat_panel.height_mm": "120 mm",
}
"""What stands in a fresh page; lengths with their unit, so that none is ever mistaken."""

_PASSING = frozenset({"do", "relax", "example", "proposal"})
"""What a button or a link said, or what follows from the rest; it belongs to one request."""

_HAND, _WAS = "hand.", "was."


@dataclass(frozen=True)
class Fields:
    """Every value of every field."""

    typed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @classmethod
    def read(cls, encoded: bytes) -> "Fields":
        """Return the fields of a form's body or an address; raise Refused for far too many."""
        try:
            pairs = parse_qsl(
                encoded.decode(errors="replace"),
                keep_blank_values=True,
                errors="replace",
                max_num_fields=MOST_FIELDS,
            )
        except ValueError:
            raise Refused(BODY_TOO_LARGE, f"A form may have {MOST_FIELDS:,} fields.") from None
        typed: dict[str, tuple[str, ...]] = {}
        for name, value in pairs:
            typed[name] = (*typed.get(name, ()), value.replace("\0", " "))
        return cls(typed)._without_unmoved()

    def _without_unmoved(self) -> "Fields":
        """Return these fields without the sliders that stand where they stood."""
        typed = dict(self.typed)
        for name, values in self.typed.items():
            if name.startswith(_WAS):
                del typed[name]
                hand = _HAND + name.removeprefix(_WAS)
                if typed.get(hand, values)[-1] == values[-1]:
                    typed.pop(hand, None)
        return Fields(typed)

    def one(self, name: str) -> str:
        """Return what was typed into a field, or what stands in it on a fresh page."""
        values = self.typed.get(name)
        return values[-1] if values else DEFAULTS.get(name, "")

    def all(self, name: str) -> tuple[str, ...]:
        """Return every value of a field that may have several."""
        return self.typed.get(name, ())

    def under(self, prefix: str) -> Iterator[tuple[str, str]]:
        """Yield what was typed into the fields `prefix`.name, by that name; blank ones are not."""
        for name, values in self.typed.items():
            if name.startswith(f"{prefix}.") and values[-1].strip():
                yield name.removeprefix(f"{prefix}."), values[-1]

    def having(self, changed: Mapping[str, tuple[str, ...]]) -> "Fields":
        """Return these fields with some of them changed, by name; one without a value is gone."""
        after = {**self.typed, **changed}
        return Fields({name: values for name, values in after.items() if values})

    def unmoved(self) -> "Fields":
        """Return these fields without what was moved by hand."""
        moved = (name for name in self.typed if name.startswith((_HAND, _WAS)))
        return self.having(dict.fromkeys(moved, ()))

    def unlimited(self) -> "Fields":
        """Return these fields without a limit on the chance of a crack."""
        return self.having({"crack_chance_percent.max": (), "lean": ()})

    def in_language(self, language: str) -> str:
        """Return the address that shows the same in another language."""
        if set(self.typed) <= {"lang"}:
            return f"/?lang={language}"
        return self.having({"lang": (language,)}).shared()

    def shared(self) -> str:
        """Return the address that brings these fields back, and their answer with them.

        What stands in a fresh page anyway is left out, so that its code can be read off paper.
        """
        form = f"{self.one('form')}."
        kept = [
            (name, value.replace("\r\n", "\n"))
            for name, values in self.typed.items()
            for value in values
            if value != DEFAULTS.get(name, "") and name not in _PASSING
            if "." not in name or name not in DEFAULTS or name.startswith(form)
        ]
        return "/?" + urlencode([*kept, ("do", "answer")]) + "#answer"
