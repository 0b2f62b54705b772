"""A template: the flat piece to cut from the sheet, and the dough that one or many of them take.

Its geometry is `models.flat_piece`; its drawing is the service's.
"""

from typing import Annotated

from models.dimension import Between
from models.flat_piece import flat_piece
from models.outline import Guide, Outline, Size
from models.target import Target
from models.value import Value

DOUGH_DENSITY = 1.26
"""g/cm³; what a piece weighs, and what pulls a softened sheet down (`solver.mechanics.flow`)."""
DOUGH_DENSITY_SOURCE = "Chevallier 2000, a short dough before it bakes"

TRIMMINGS_PERCENT = 15.0
"""Dough rolled beyond the pieces, as a share of their weight. Common practice, no source."""

Density = Annotated[float, Between(1.0, 1.5, "g/cm³")]
Pieces = Annotated[int, Between(1, 10_000, "pieces")]
Trimmings = Annotated[float, Between(0, 100, "percent")]


class Template(Value):
    """A flat piece and the dough it takes.

    `covers_mm2` is the area of the form that it lies on, at the middle of the sheet: less than its
    own area on a dome, the same elsewhere. `stretch_percent` is by how much its edge must lengthen
    to lie on the form (negative: gather); 0 wherever the sheet only bends.
    """

    outline: Outline
    guides: tuple[Guide, ...]
    sizes: tuple[Size, ...]
    width_mm: float
    height_mm: float
    area_mm2: float
    covers_mm2: float
    stretch_percent: float
    volume_cm3: float
    dough_grams_per_piece: float
    notes: tuple[str, ...]


def template(target: Target, density_g_per_cm3: float = DOUGH_DENSITY) -> Template:
    """Return the flat piece that `target` needs."""
    piece = flat_piece(target)
    volume = piece.area * target.thickness_mm / 1000
    return Template(
        outline=piece.outline,
        guides=piece.guides,
        sizes=piece.sizes,
        width_mm=piece.outline.width_mm,
        height_mm=piece.outline.height_mm,
        area_mm2=piece.area,
        covers_mm2=piece.covers,
        stretch_percent=piece.stretch_percent,
        volume_cm3=volume,
        dough_grams_per_piece=volume * density_g_per_cm3,
        notes=(*piece.notes, _TRIM_NOTE),
    )


def pieces_grams(
    target: Target,
    pieces: int,
    trimmings_percent: float = TRIMMINGS_PERCENT,
    density_g_per_cm3: float = DOUGH_DENSITY,
) -> float:
    """Return the dough that `pieces` take [g], with what trimming and re-rolling leave over.

    `trimmings_percent` comes on top: 100 g of pieces at 15 % take 115 g of dough.
    """
    each = template(target, density_g_per_cm3).dough_grams_per_piece
    return pieces * each * (1 + trimmings_percent / 100)


_TRIM_NOTE = (
    "Cut a little large and trim while the piece is still warm: a sheet grows as it bakes (common "
    "practice, no source)."
)
