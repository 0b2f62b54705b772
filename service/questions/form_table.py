"""The forms as a table: what each is, how it is stated, and what it looks like.

Ranges are read off `models.form` and `models.target`; the words are `models.form_words`.
"""

from typing import Any

from models.form import FORMS, KINDS
from models.form_words import MEMBERS, NAMES, SENTENCES
from models.target import Target
from models.value import Value
from service.drawings.icons import icon


class Member(Value):
    """A dimension of a form: how it is stated, from where to where, and its value if left out."""

    name: str
    sentence: str
    unit: str
    min: float
    max: float
    default: float | None


class FormKind(Value):
    """A kind of form; `icon` is a small SVG."""

    kind: str
    name: str
    sentence: str
    members: tuple[Member, ...]
    icon: str


class FormTable(Value):
    """Every kind of form, the thickness of a sheet, and how lengths may be written."""

    forms: tuple[FormKind, ...]
    thickness: Member
    notes: tuple[str, ...]


def form_table() -> FormTable:
    """Return the table."""
    return FormTable(
        forms=tuple(
            FormKind(
                kind=kind,
                name=NAMES[kind],
                sentence=SENTENCES[kind],
                members=_members(MEMBERS[kind], form.model_json_schema()["properties"]),
                icon=icon(kind),
            )
            for kind, form in zip(KINDS, FORMS, strict=True)
        ),
        thickness=_members(_THICKNESS, Target.model_json_schema()["properties"])[0],
        notes=_NOTES,
    )


_THICKNESS = {
    "thickness_mm": "How thick the sheet is rolled; never more than the radius it bends to."
}
_NOTES = (
    'Lengths are millimetres, or words with a unit: "80 mm", "8 cm", "3/16 in", "1 1/2 in".',
    "Dimensions are those of the form itself, without the sheet on it; flat forms have those of "
    "the piece.",
)


def _members(sentences: dict[str, str], described: dict[str, Any]) -> tuple[Member, ...]:
    return tuple(
        Member(
            name=name,
            sentence=sentence,
            unit=_unit(name),
            min=described[name]["minimum"],
            max=described[name]["maximum"],
            default=described[name].get("default"),
        )
        for name, sentence in sentences.items()
    )


def _unit(name: str) -> str:
    return next((unit for unit in ("mm", "degrees") if name.endswith(f"_{unit}")), "count")
