"""The flat piece that lies on a form: each form unrolled at the middle of the sheet.

A sheet that is bent keeps its length at mid-thickness, where bending neither stretches nor
shortens, so every length is taken there: t/2 outside the form's own surface. Forms that can be
unrolled are exact; a dome cannot be, and its piece says by how much it is wrong. What the piece
weighs is `models.template`; what the sheet does in the oven is `solver.mechanics.sheet`.
"""

import math
from typing import NamedTuple, assert_never

from models.form import Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from models.outline import Guide, Outline, Point, Size, circle, rectangle, sector
from models.target import Target


class FlatPiece(NamedTuple):
    """An outline with its area [mm²], what to measure and mark, and what to know.

    `covers` is the area of the form, at mid-thickness, that the piece lies on; `stretch_percent` by
    how much its edge must lengthen there (negative: gather).
    """

    outline: Outline
    area: float
    covers: float
    sizes: tuple[Size, ...]
    guides: tuple[Guide, ...] = ()
    notes: tuple[str, ...] = ()
    stretch_percent: float = 0.0


def flat_piece(target: Target) -> FlatPiece:
    """Return the flat piece to cut for `target`."""
    form, t = target.form, target.thickness_mm
    match form:
        case FlatRound(diameter_mm=diameter):
            area = math.pi * diameter**2 / 4
            return FlatPiece(circle(diameter / 2), area, area, (_mm("diameter", diameter),))
        case FlatPanel() | LeaningPanel() as panel:
            return _panel("width", panel.width_mm, "height", panel.height_mm)
        case Cylinder() as cylinder:
            return _on_cylinder(cylinder, t)
        case Cone() as cone:
            return _on_cone(cone, t)
        case Dome() as dome:
            return _on_dome(dome, t)
        case Wave() as wave:
            return _on_wave(wave, t)
        case _:
            assert_never(form)


_MIDDLE_NOTE = "Lengths are those of the middle of the sheet, where bending changes nothing."
_UNDER_NOTE = (
    "Beyond half way round the edges hang under the form: prop them until they are set (common "
    "practice, no source)."
)


def _panel(across: str, width: float, along: str, height: float) -> FlatPiece:
    area = width * height
    sizes = (_mm(across, width), _mm(along, height))
    return FlatPiece(rectangle(width, height), area, area, sizes)


def _on_cylinder(form: Cylinder, t: float) -> FlatPiece:
    """Unroll a cylinder: (R + t/2)·wrap round it, and its length along it."""
    round_form = (form.radius_mm + t / 2) * math.radians(form.wrap_degrees)
    hangs = (_UNDER_NOTE,) if form.wrap_degrees > 180 else ()
    return _panel("round the form", round_form, "along the form", form.length_mm)._replace(
        guides=(_upright("crown", round_form / 2, form.length_mm),), notes=(_MIDDLE_NOTE, *hangs)
    )


def _on_cone(form: Cone, t: float) -> FlatPiece:
    """Unroll a cone whose side, of length m, rises at β from the horizontal.

    The middle of the sheet is a cone of the same slope, t/2 outside: each radius r of the form
    becomes ρ = r + t/2·sin β there. Unrolled, a circle of radius ρ has the radius ρ/cos β, and the
    wrap shrinks to wrap·cos β. The area is the lateral area of that frustum, wrap·m·(ρ1 + ρ2)/2.
    """
    run = (form.base_diameter_mm - form.top_diameter_mm) / 2
    side, wrap = math.hypot(run, form.height_mm), math.radians(form.wrap_degrees)
    sine, cosine = form.height_mm / side, run / side
    top, base = (d / 2 + t / 2 * sine for d in (form.top_diameter_mm, form.base_diameter_mm))
    outline = sector(top / cosine, side, wrap * cosine)
    area, height = wrap * side * (top + base) / 2, outline.height_mm
    return FlatPiece(
        outline,
        area=area,
        covers=area,
        sizes=(
            _mm("inner radius", top / cosine),
            _mm("outer radius", top / cosine + side),
            Size(name="angle", value=math.degrees(wrap * cosine), unit="degrees"),
            _mm("side", side),
            _mm("upper edge", wrap * top),
            _mm("lower edge", wrap * base),
        ),
        guides=(_upright("middle", outline.width_mm / 2, height, height - side),),
        notes=(_MIDDLE_NOTE,),
    )


def _on_wave(form: Wave, t: float) -> FlatPiece:
    """Unroll a wave from trough to trough, the sheet lying on top of it.

    Over a crest the middle of the sheet is bent to R + t/2; in a trough, whose centre is above, to
    R − t/2. A whole wave has a crest and a trough of 2·slope each: what crests take more, troughs
    take less, so the length, 4·R·slope a wave, is the same at every thickness.
    """
    slope = math.radians(form.slope_degrees)
    crest = 2 * slope * (form.crest_radius_mm + t / 2)
    trough = 2 * slope * (form.crest_radius_mm - t / 2)
    wave = crest + trough
    piece = _panel("along the waves", form.crests * wave, "across the waves", form.width_mm)
    crests = ((i + 0.5) * wave for i in range(form.crests))
    return piece._replace(
        sizes=(*piece.sizes, _mm("over a crest", crest), _mm("through a trough", trough)),
        guides=tuple(_upright("crest", x, form.width_mm) for x in crests),
        notes=(_MIDDLE_NOTE, "It begins and ends at the bottom of a trough."),
    )


def _on_dome(form: Dome, t: float) -> FlatPiece:
    """Cut a round as wide as the dome's own arc from rim to rim, which cannot lie on it unchanged.

    At mid-thickness the cap has the radius ρ = R + t/2: its meridian, ρ·cap, is the radius of the
    cut; its rim is 2πρ·sin cap, and its area 2πρ²·(1 − cos cap).
    """
    radius, cap = form.radius_mm + t / 2, math.radians(form.cap_degrees)
    cut, rim = radius * cap, radius * math.sin(cap)
    return FlatPiece(
        circle(cut),
        area=math.pi * cut**2,
        covers=2 * math.pi * radius**2 * (1 - math.cos(cap)),
        sizes=(_mm("diameter", 2 * cut), _mm("from the top to the rim", cut)),
        guides=(
            _upright("middle", cut, 2 * cut),
            Guide(name="middle", start=_at(0, cut), end=_at(2 * cut, cut)),
        ),
        notes=(
            _MIDDLE_NOTE,
            f"A dome cannot be unrolled: the edge of this round is {2 * math.pi * cut:.0f} mm, "
            f"the rim it comes to {2 * math.pi * rim:.0f} mm, so the edge must gather by "
            f"{100 - 100 * rim / cut:.1f} %. Ease it in while the dough is soft, or cut wedges out "
            "of the edge.",
        ),
        stretch_percent=100 * rim / cut - 100,
    )


def _mm(name: str, value: float) -> Size:
    return Size(name=name, value=value, unit="mm")


def _at(x: float, y: float) -> Point:
    return Point(x_mm=x, y_mm=y)


def _upright(name: str, x: float, bottom: float, top: float = 0.0) -> Guide:
    return Guide(name=name, start=_at(x, top), end=_at(x, bottom))
