"""Icons: each form small and in stone, the sheet on it a band of dough; flat ones from above."""

from typing import NamedTuple

from models.form_words import NAMES, SENTENCES
from service.drawings.ink import DOUGH, INK, STONE
from service.drawings.svg import drawing, shape


class _Strokes(NamedTuple):
    stone: str
    sheet: str
    filled: bool = False  # a sheet seen from above, not its edge


_GROUND = "M6 54 H58"
_TRAY = "M11 10 H53 Q57 10 57 14 V50 Q57 54 53 54 H11 Q7 54 7 50 V14 Q7 10 11 10 Z"

_STROKES = {
    "flat_round": _Strokes(_TRAY, "M15 32 A17 17 0 1 1 49 32 A17 17 0 1 1 15 32 Z", filled=True),
    "flat_panel": _Strokes(_TRAY, "M16 21 H48 V43 H16 Z", filled=True),
    "cylinder": _Strokes(
        "M14 36 A18 18 0 1 1 50 36 A18 18 0 1 1 14 36 Z",
        "M11.6 34.2 A20.5 20.5 0 0 1 52.4 34.2",
    ),
    "cone": _Strokes("M24 14 H40 L52 54 H12 Z", "M21.6 13.3 L10.6 50.2 M42.4 13.3 L53.4 50.2"),
    "dome": _Strokes("M12 54 A20 20 0 0 1 52 54 Z", "M10.3 48.2 A22.5 22.5 0 0 1 53.7 48.2"),
    "wave": _Strokes(
        "M6.4 46 A7.4 7.4 0 0 0 12.8 42.3 A7.4 7.4 0 0 1 25.6 42.3 A7.4 7.4 0 0 0 38.4 42.3 "
        "A7.4 7.4 0 0 1 51.2 42.3 A7.4 7.4 0 0 0 57.6 46 V54 H6.4 Z",
        "M6.4 43.5 A4.9 4.9 0 0 0 10.6 41 A9.9 9.9 0 0 1 27.8 41 A4.9 4.9 0 0 0 36.2 41 "
        "A9.9 9.9 0 0 1 53.4 41 A4.9 4.9 0 0 0 57.6 43.5",
    ),
    "leaning_panel": _Strokes("M30 54 L46 16 H50 V54 Z", "M28.9 50.3 L44.8 12.5"),
}


def icon(kind: str) -> str:
    """Return the icon of a kind of form."""
    strokes = _STROKES[kind]
    line = {"fill": "none", "stroke_linecap": "round", "stroke_linejoin": "round"}
    if strokes.filled:
        sheet = [shape("path", d=strokes.sheet, fill=DOUGH, stroke=INK, stroke_width=1.4)]
    else:
        sheet = [
            shape("path", d=strokes.sheet, stroke=INK, stroke_width=6.4, **line),
            shape("path", d=strokes.sheet, stroke=DOUGH, stroke_width=3.6, **line),
        ]
    ground = (
        [] if strokes.filled else [shape("path", d=_GROUND, stroke=INK, stroke_width=1.4, **line)]
    )
    return drawing(
        (0, 0, 64, 64),
        NAMES[kind],
        SENTENCES[kind],
        shape(
            "path",
            d=strokes.stone,
            fill=STONE,
            stroke=INK,
            stroke_width=1.4,
            stroke_linejoin="round",
        ),
        *ground,
        *sheet,
    )
