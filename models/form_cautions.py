"""Cautions that a form and its template call for, each with its source.

What the dough itself calls for is `models.cautions`.
"""

from collections.abc import Iterator

from models.cautions import Caution
from models.form import AnyForm, lies_flat
from models.target import Target
from models.template import Template

SMALL_PART_WIDTH_MM, SMALL_PART_LENGTH_MM = 31.7, 57.1
"""The cylinder that no part of a toy for infants may fit into (16 CFR 1501.4)."""


def form_cautions(target: Target, template: Template) -> tuple[Caution, ...]:
    """Return the cautions for cutting and baking a piece, the gravest first."""
    return tuple(_cautions(target.form, template))


def _cautions(form: AnyForm, template: Template) -> Iterator[Caution]:
    sides = sorted((template.width_mm, template.height_mm))
    if sides[0] <= SMALL_PART_WIDTH_MM and sides[1] <= SMALL_PART_LENGTH_MM:
        yield _SMALL_PART
    if not lies_flat(form):
        yield from (_HOT_FORM, _SUPPORTS)
    yield _PRINTED_PAPER


_SMALL_PART = Caution(
    code="small_part",
    text="A piece as small and hard as this can choke a small child.",
    source="16 CFR 1501.4, small parts of toys: a yardstick, no rule for food",
)
_HOT_FORM = Caution(
    code="hot_form",
    text="Bake only on forms and supports made for an oven: glass and glazed ware can shatter when "
    "heated or cooled fast, and plastic softens. Metal stays hot; let form and piece cool before "
    "you lift it off.",
    source="US Consumer Product Safety Commission, National Electronic Injury Surveillance System: "
    "injuries by glass bakeware (from memory); plastic and cooling: common practice, no source",
)
_SUPPORTS = Caution(
    code="supports",
    text="Count props, picks, wires and foil before they go in, and take out as many before the "
    "piece is eaten.",
    source="University of Illinois Extension, choking hazards (following US CDC)",
)
_PRINTED_PAPER = Caution(
    code="printed_paper",
    text="Print is not made to touch food: cut through baking paper, or keep film between template "
    "and dough.",
    source="common practice, no source",
)
