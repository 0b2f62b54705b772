"""The forms in words: what each is called, what it is, and what its members are measured from.

The ranges of the members stand in `models.form`; the table that callers get is
`service.questions.form_table`.
"""

from models.form import AnyForm

NAMES = {
    "flat_round": "Flat round",
    "flat_panel": "Flat panel",
    "cylinder": "Cylinder",
    "cone": "Cone",
    "dome": "Dome",
    "wave": "Wave",
    "leaning_panel": "Leaning panel",
}

SENTENCES = {
    "flat_round": "A round cut from the sheet and baked flat; nothing bends it.",
    "flat_panel": "A rectangle cut from the sheet and baked flat, as for a wall.",
    "cylinder": "A roll or can lying down, with the sheet draped evenly over its top.",
    "cone": "A cone with its point cut off, standing up, with the sheet wrapped round its side.",
    "dome": "The cap of a sphere with the sheet laid over its top; no flat piece lies on it "
    "without gathering at the rim.",
    "wave": "Rounded crests and troughs of one radius in turn, with the sheet laid along them.",
    "leaning_panel": "A rectangle that bakes leaning on a support, with its foot on the board.",
}

MEMBERS = {
    "flat_round": {"diameter_mm": "Across the round as it is cut."},
    "flat_panel": {
        "width_mm": "One side as it is cut.",
        "height_mm": "The other side as it is cut.",
    },
    "cylinder": {
        "diameter_mm": "Across the form itself, without the sheet.",
        "wrap_degrees": "How far round the form the sheet reaches, from edge to edge; 180 is half "
        "way round.",
        "length_mm": "How far the sheet reaches along the form.",
    },
    "cone": {
        "base_diameter_mm": "Across the form at the sheet's lower edge.",
        "top_diameter_mm": "Across the form at the sheet's upper edge; less than at the lower one.",
        "height_mm": "From the lower edge to the upper, straight up.",
        "wrap_degrees": "How far round the form the sheet reaches, seen from above.",
    },
    "dome": {
        "diameter_mm": "Across the whole sphere that the form is a part of.",
        "cap_degrees": "From the top of the sphere to the rim, seen from its centre; 90 is half a "
        "sphere.",
    },
    "wave": {
        "crest_radius_mm": "Radius of a crest of the form, and of a trough.",
        "slope_degrees": "How steep the form is half way between crest and trough.",
        "width_mm": "How far the sheet reaches along a crest.",
        "crests": "How many crests the sheet goes over, beginning and ending in a trough.",
    },
    "leaning_panel": {
        "width_mm": "Along the foot, as it is cut.",
        "height_mm": "From the foot to the upper edge, along the panel.",
        "lean_degrees": "How far the panel leans from upright.",
    },
}


def form_words(form: AnyForm) -> str:
    """Return what tells a form from others of its kind: "diameter 80 mm, wrap 150°, …"."""
    members = form.model_dump(exclude={"kind"})
    return ", ".join(_member(name, value) for name, value in members.items())


def _member(name: str, value: float) -> str:
    if name.endswith("_mm"):
        return f"{_plain(name.removesuffix('_mm'))} {value:.4g}\u00a0mm"
    if name.endswith("_degrees"):
        return f"{_plain(name.removesuffix('_degrees'))} {value:.4g}°"
    return f"{value} {_plain(name)}"


def _plain(name: str) -> str:
    return name.replace("_", " ")
