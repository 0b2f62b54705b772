"""Forms: the shapes a rolled sheet is laid over to bake, each with its own dimensions.

Lengths are millimetres and angles degrees, measured on the form itself, not on the sheet. How thick
the sheet is belongs to `models.target`, what a form asks of a dough to `solver.mechanics.sheet`.
"""

import math
from typing import Annotated, Any, Literal, assert_never, get_args

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from models.dimension import Between, LengthMm
from models.errors import UNION_TAG_MARK, refusal
from models.value import Value

Across = Annotated[LengthMm, Between(20, 1000, "mm")]
"""A diameter, width or height of a form that fits an oven."""

Wrap = Annotated[
    float, Between(10, 240, "degrees", "a sheet draped over more than that slides off or closes")
]
ConeWrap = Annotated[
    float, Between(10, 330, "degrees", "a cone that closes on itself needs a seam")
]


LEAST_TAPER_MM = 1.0
"""What a cone narrows by at the least: less is no cone anyone could tell from a cylinder, and its
flat piece has radii of kilometres."""

LONGEST_WAVE_MM = 3000.0
"""The longest sheet over waves; one wave of the widest and steepest kind takes 2.8 m."""


class _Flat(Value):
    """A form that bends nothing."""

    @property
    def radius_mm(self) -> None:
        """Radius that the sheet is bent to: none."""
        return None


class FlatRound(_Flat):
    """A round cut from the sheet and baked flat."""

    kind: Literal["flat_round"]
    diameter_mm: Across


class FlatPanel(_Flat):
    """A rectangle cut from the sheet and baked flat."""

    kind: Literal["flat_panel"]
    width_mm: Across
    height_mm: Across


class Cylinder(Value):
    """A roll or can lying down, the sheet draped over its top, as far down either side."""

    kind: Literal["cylinder"]
    diameter_mm: Across
    wrap_degrees: Wrap
    length_mm: Across = 100.0

    @property
    def radius_mm(self) -> float:
        """Radius that the sheet is bent to."""
        return self.diameter_mm / 2

    @property
    def half_wrap_degrees(self) -> float:
        """Angle from the crown to either edge of the sheet."""
        return self.wrap_degrees / 2


class Cone(Value):
    """A blunt cone standing on its base, the sheet wrapped round its side."""

    kind: Literal["cone"]
    base_diameter_mm: Across
    top_diameter_mm: Annotated[LengthMm, Between(10, 990, "mm", "no sheet bends round a point")]
    height_mm: Across
    wrap_degrees: ConeWrap

    @model_validator(mode="after")
    def _narrows_upwards(self) -> "Cone":
        widest = self.base_diameter_mm - LEAST_TAPER_MM
        if self.top_diameter_mm > widest:
            message = (
                f"must be between 10 and {widest:g} mm, as the base's is "
                f"{self.base_diameter_mm:g} mm; straight sides are a cylinder"
            )
            raise refusal([(("top_diameter_mm",), message)])
        return self

    @property
    def slope_degrees(self) -> float:
        """How steep the side is, from the horizontal."""
        run = (self.base_diameter_mm - self.top_diameter_mm) / 2
        return math.degrees(math.atan2(self.height_mm, run))

    @property
    def apex_to_top_mm(self) -> float:
        """Distance along the side from the apex, which is cut away, to the upper edge."""
        return self.top_diameter_mm / 2 / math.cos(math.radians(self.slope_degrees))

    @property
    def apex_to_base_mm(self) -> float:
        """Distance along the side from the apex to the foot."""
        return self.base_diameter_mm / 2 / math.cos(math.radians(self.slope_degrees))

    @property
    def radius_mm(self) -> float:
        """Radius that the sheet is bent to where it is tightest, at the upper edge."""
        return self.top_diameter_mm / 2 / math.sin(math.radians(self.slope_degrees))


class Dome(Value):
    """The cap of a sphere, the sheet laid over its top."""

    kind: Literal["dome"]
    diameter_mm: Across
    cap_degrees: Annotated[
        float, Between(10, 120, "degrees", "from the top to the rim; past that the sheet folds")
    ]

    @property
    def radius_mm(self) -> float:
        """Radius that the sheet is bent to, which is the sphere's."""
        return self.diameter_mm / 2

    @property
    def half_wrap_degrees(self) -> float:
        """Angle from the top to the rim."""
        return self.cap_degrees


class Wave(Value):
    """Rounded crests and troughs of one radius in turn, the sheet laid along them."""

    kind: Literal["wave"]
    crest_radius_mm: Annotated[LengthMm, Between(5, 500, "mm")]
    slope_degrees: Annotated[
        float, Between(5, 80, "degrees", "steeper than that the sheet slides into the trough")
    ]
    width_mm: Across = 100.0
    crests: Annotated[int, Field(ge=1, le=20)] = 3

    @model_validator(mode="after")
    def _fits_a_baking_sheet(self) -> "Wave":
        one = 4 * self.crest_radius_mm * math.radians(self.slope_degrees)
        if self.crests * one > LONGEST_WAVE_MM:
            message = (
                f"must be between 1 and {math.floor(LONGEST_WAVE_MM / one)} at this crest radius "
                f"and slope: each wave takes {one:.0f} mm of the sheet, which may be "
                f"{LONGEST_WAVE_MM:g} mm long"
            )
            raise refusal([(("crests",), message)])
        return self

    @property
    def radius_mm(self) -> float:
        """Radius that the sheet is bent to on a crest."""
        return self.crest_radius_mm

    @property
    def half_wrap_degrees(self) -> float:
        """Angle from a crest to where it turns into the trough."""
        return self.slope_degrees


class LeaningPanel(_Flat):
    """A flat rectangle that leans on a support and rests on its foot."""

    kind: Literal["leaning_panel"]
    width_mm: Across
    height_mm: Across
    lean_degrees: Annotated[
        float, Between(5, 85, "degrees", "from upright; lying down it is a flat_panel")
    ]

    @property
    def slope_degrees(self) -> float:
        """How steep the panel is, from the horizontal."""
        return 90 - self.lean_degrees


AnyForm = FlatRound | FlatPanel | Cylinder | Cone | Dome | Wave | LeaningPanel
FORMS: tuple[type[AnyForm], ...] = get_args(AnyForm)
"""Every form, flat ones first."""

KINDS: tuple[str, ...] = tuple(get_args(form.model_fields["kind"].annotation)[0] for form in FORMS)
"""What the forms are called in a request, in the same order."""


def lies_flat(form: AnyForm) -> bool:
    """Tell whether a piece lies on the tray itself, where nothing slides off."""
    match form:
        case FlatRound() | FlatPanel():
            return True
        case Cylinder() | Cone() | Dome() | Wave() | LeaningPanel():
            return False
        case _:
            assert_never(form)


def _variant(form: Any) -> str:
    kind = form["kind"] if isinstance(form, dict) else form.kind
    return f"{UNION_TAG_MARK}{kind}"


def _of_known_kind(form: Any) -> Any:
    if isinstance(form, FORMS):
        return form
    if not isinstance(form, dict):
        raise ValueError(f"must be a JSON object with a kind, one of {', '.join(KINDS)}")
    if form.get("kind") not in KINDS:
        verb = "must be" if "kind" in form else "is missing; please give"
        raise refusal([(("kind",), f"{verb} one of {', '.join(KINDS)}")])
    return form


Form = Annotated[
    Annotated[FlatRound, Tag(f"{UNION_TAG_MARK}flat_round")]
    | Annotated[FlatPanel, Tag(f"{UNION_TAG_MARK}flat_panel")]
    | Annotated[Cylinder, Tag(f"{UNION_TAG_MARK}cylinder")]
    | Annotated[Cone, Tag(f"{UNION_TAG_MARK}cone")]
    | Annotated[Dome, Tag(f"{UNION_TAG_MARK}dome")]
    | Annotated[Wave, Tag(f"{UNION_TAG_MARK}wave")]
    | Annotated[LeaningPanel, Tag(f"{UNION_TAG_MARK}leaning_panel")],
    Discriminator(_variant),
    BeforeValidator(_of_known_kind),
]
"""The shape that the sheet is laid over, told apart by its `kind`."""
