"""The template command: a form stated by its dimensions, answered as a table and a drawing."""

from argparse import Namespace
from typing import Any

from models.form_words import MEMBERS, NAMES, form_words
from service.command_line.layout import columns, points
from service.drawings.lettering import millimetres
from service.drawings.template import size_words
from service.questions.templates import DrawnTemplate

OPTIONS = {
    member: member.removesuffix("_mm").removesuffix("_degrees").replace("_", "-")
    for members in MEMBERS.values()
    for member in members
}
"""The option of each dimension: wrap_degrees is --wrap."""


def template_request(given: Namespace) -> dict[str, Any]:
    """Return the request for a template."""
    typed = {name: getattr(given, name) for name in ("kind", *OPTIONS)}
    target = {"form": _said(typed), "thickness_mm": given.thickness_mm}
    return _said(
        {
            "target": _said(target),
            "pieces": given.pieces,
            "trimmings_percent": given.trimmings_percent,
            "density_g_per_cm3": given.density_g_per_cm3,
            "paper": given.paper,
        }
    )


def template_words(drawn: DrawnTemplate) -> list[str]:
    """Return a template as people read it."""
    piece, form = drawn.template, drawn.target.form
    pieces = f"{drawn.pieces:,} piece{'s' if drawn.pieces != 1 else ''}"
    return [
        f"{NAMES[form.kind]}: {form_words(form)}; sheet {millimetres(drawn.target.thickness_mm)}",
        "",
        *columns(("cut to", "size"), [size_words(size) for size in piece.sizes]),
        "",
        f"Area {piece.area_mm2 / 100:.1f} cm²; a piece takes {piece.dough_grams_per_piece:.1f} g "
        f"of dough at {drawn.density_g_per_cm3:g} g/cm³ ({drawn.density_source}).",
        f"{pieces} and {drawn.trimmings_percent:g} % for trimmings: {drawn.dough_grams:.0f} g.",
        *points("Notes", piece.notes),
        *points("Cautions", (f"{c.text} [{c.source}]" for c in drawn.cautions)),
    ]


def _said(members: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in members.items() if value is not None}
