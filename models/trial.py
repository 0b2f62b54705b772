"""A trial: one tray of one dough on one form, baked at once, and what became of every piece.

A tray may hold up to three thicknesses of the same dough, and a flat round beside the pieces. The
scales by which outcomes are told are `models.trial_scales`; the kitchen is `models.kitchen`, the
chance that a piece cracks `models.chance`, and what a kitchen learns `models.learning`.
"""

from collections.abc import Iterator
from typing import Annotated, Any

from pydantic import Field, StringConstraints, field_validator, model_validator

from models.brief import RecipeToWeigh
from models.catalogue import Identity
from models.dimension import Between, LengthMm
from models.errors import refusal
from models.form import Form, lies_flat
from models.recipe import Recipe
from models.target import Target, Thickness
from models.trial_scales import CANNOT_BE_SHAPED, CrackGrade, Handling, Texture
from models.value import Value
from models.written import AsWritten, Moment, Words

MOST_SHEETS, MOST_PIECES, MOST_PHOTOGRAPHS = 3, 48, 12
LEAST_GROWN, MOST_GROWN = 0.8, 3.0
"""A round that shrank by more, or grew by more, was measured wrong: common practice, no source."""

Note = Annotated[Words, StringConstraints(max_length=2000)]
Reference = Annotated[Words, StringConstraints(min_length=1, max_length=500)]


class Piece(Value):
    """What became of one piece."""

    crack_grade: CrackGrade
    slipped: bool = False


class TrialSheet(Value):
    """The pieces of one thickness."""

    thickness_mm: Thickness
    pieces: Annotated[tuple[Piece, ...], Field(min_length=1, max_length=MOST_PIECES)]


class FlatRoundMeasured(Value):
    """A flat round of the same sheet, measured across before and after it baked beside the pieces.

    It tells how much the dough flows apart from what a form does to it.
    """

    thickness_mm: Thickness
    before_mm: Annotated[LengthMm, Between(20, 300, "mm")] = 60.0
    after_mm: Annotated[LengthMm, Between(10, 900, "mm")]

    @model_validator(mode="after")
    def _can_be(self) -> "FlatRoundMeasured":
        least, most = LEAST_GROWN * self.before_mm, MOST_GROWN * self.before_mm
        if not least <= self.after_mm <= most:
            message = (
                f"is no round of {self.before_mm:g} mm after its bake: that would measure between "
                f"{least:g} and {most:g} mm; measure straight across, in millimetres"
            )
            raise refusal([(("after_mm",), message)])
        return self

    @property
    def grew_mm(self) -> float:
        """How much wider it came out; below nought where it shrank."""
        return self.after_mm - self.before_mm


class Trial(RecipeToWeigh):
    """One tray: the dough as a recipe, the form, up to three thicknesses of it, and what became of
    every piece.

    Photographs are kept as references (an address, a file's name) and never fetched.
    """

    form: Form
    chilled: bool = False
    sheets: Annotated[tuple[TrialSheet, ...], Field(max_length=MOST_SHEETS)] = ()
    flat_round: FlatRoundMeasured | None = None
    handling: Handling | None = None
    texture: Texture | None = None
    baked_at: Moment | None = None
    photographs: Annotated[tuple[Reference, ...], Field(max_length=MOST_PHOTOGRAPHS)] = ()
    note: Note | None = None

    @field_validator("recipe")
    @classmethod
    def _has_flour(cls, recipe: Recipe) -> Recipe:
        if not recipe.has_flour:
            raise refusal([(("lines",), "has no flour; a dough is judged by shares of its flour")])
        return recipe

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> "Trial":
        faults = list(self._contradictions())
        if faults:
            raise refusal(faults)
        return self

    def target_at(self, thickness_mm: float) -> Target:
        """Return the form with a sheet of this tray's on it."""
        return Target(form=self.form, thickness_mm=thickness_mm, chilled=self.chilled)

    def _contradictions(self) -> Iterator[tuple[tuple[int | str, ...], str]]:
        seen: set[float] = set()
        for at, sheet in enumerate(self.sheets):
            most = Target(form=self.form, thickness_mm=1.5).most_thickness_mm
            if sheet.thickness_mm > most:
                message = (
                    f"must be {most:.4g} mm or less: a thicker sheet does not bend to the form"
                )
                yield ("sheets", at, "thickness_mm"), message
            if sheet.thickness_mm in seen:
                message = "is given twice; put the pieces of one thickness together"
                yield ("sheets", at, "thickness_mm"), message
            seen.add(sheet.thickness_mm)
            yield from self._slips(at, sheet)
        if self.handling == CANNOT_BE_SHAPED and self.sheets:
            message = (
                "contradicts the pieces: a dough that could not be shaped has none on its form; "
                "leave the sheets out, or grade the handling 2 or less"
            )
            yield ("handling",), message
        if not self.sheets and self.flat_round is None and self.handling is None:
            message = "is missing: tell of at least one piece, a flat round, or the handling"
            yield ("sheets",), message

    def _slips(self, at: int, sheet: TrialSheet) -> Iterator[tuple[tuple[int | str, ...], str]]:
        if lies_flat(self.form):
            for number, piece in enumerate(sheet.pieces):
                if piece.slipped:
                    message = "must be false: a piece that lies flat has nothing to slide off"
                    yield ("sheets", at, "pieces", number, "slipped"), message


WrittenTrial = Annotated[dict[str, Any], AsWritten(Trial)]


class StoredTrial(Value):
    """A trial at one of its versions, as it was told then, and the kitchen it was baked in."""

    id: Identity
    kitchen_id: Identity
    version: int
    trial: WrittenTrial
    created_at: Moment
    changed_at: Moment


class TrialList(Value):
    """Trials in the order in which they were told; a Link header leads to more."""

    trials: tuple[StoredTrial, ...]


class TrialVersion(Value):
    """One version of a trial."""

    version: int
    trial: WrittenTrial
    created_at: Moment


class TrialVersionList(Value):
    """What a trial was told to be, the first telling first; a Link header leads to more."""

    versions: tuple[TrialVersion, ...]
