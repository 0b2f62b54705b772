"""A target: the form that a piece is to hold, how thick its sheet is rolled, and whether it rests
cold before it bakes.

The forms themselves are `models.form`; the window that a target implies is the solver's business.
"""

from typing import Annotated

from pydantic import model_validator

from models.dimension import Between, LengthMm
from models.errors import refusal
from models.form import Form
from models.value import Value

LEAST_THICKNESS_MM = 1.5
MOST_THICKNESS_MM = 8.0
_WHY = "nothing is known of thinner or thicker sheets"


Thickness = Annotated[LengthMm, Between(LEAST_THICKNESS_MM, MOST_THICKNESS_MM, "mm", _WHY)]


class Target(Value):
    """A form, the thickness of the sheet over it, and whether the cut piece is chilled.

    With `may_roll_to_mm` the sheet may be rolled thinner, down to that, and with `may_chill` it may
    be chilled: both are then choices, like the amounts of the recipe.
    """

    form: Form
    thickness_mm: Thickness
    chilled: bool = False
    may_roll_to_mm: Thickness | None = None
    may_chill: bool = False

    @model_validator(mode="after")
    def _bends(self) -> "Target":
        if self.thickness_mm > self.most_thickness_mm:
            message = (
                f"must be between {LEAST_THICKNESS_MM:g} and {self.most_thickness_mm:.4g} mm on "
                "this form: a sheet thicker than the radius it is bent to does not bend"
            )
            raise refusal([(("thickness_mm",), message)])
        if self.may_roll_to_mm is not None and self.may_roll_to_mm > self.thickness_mm:
            message = f"must be {self.thickness_mm:g} mm or less: a sheet is only rolled thinner"
            raise refusal([(("may_roll_to_mm",), message)])
        return self

    @property
    def most_thickness_mm(self) -> float:
        """The thickest sheet that this form allows: no thicker than the radius it is bent to."""
        return min(MOST_THICKNESS_MM, self.form.radius_mm or MOST_THICKNESS_MM)

    def rolled(self, thickness_mm: float, *, chilled: bool) -> "Target":
        """Return the sheet as it is rolled in the end, with nothing left to choose."""
        return Target(form=self.form, thickness_mm=thickness_mm, chilled=chilled)
