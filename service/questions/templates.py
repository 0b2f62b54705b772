"""Templates: the flat piece for a form, drawn to print, with the dough that so many of them take.

The piece is `models.template`, its drawing `service.drawings.template`.
"""

from models.catalogue import Identity
from models.cautions import Caution
from models.form import AnyForm
from models.form_cautions import form_cautions
from models.learning import Baked, InKitchen, Taught
from models.target import Target
from models.template import (
    DOUGH_DENSITY,
    DOUGH_DENSITY_SOURCE,
    TRIMMINGS_PERCENT,
    Density,
    Pieces,
    Template,
    Trimmings,
    pieces_grams,
    template,
)
from models.value import Value
from service.drawings.pages import Paper
from service.drawings.template import draw_template


class TemplateRequest(InKitchen):
    """What to bake on and how thick, how many pieces, and the paper to print on.

    `trimmings_percent` is dough rolled beyond the pieces, as a share of their weight. A
    `kitchen` adds how it fared on this form.
    """

    target: Target
    pieces: Pieces = 1
    trimmings_percent: Trimmings = TRIMMINGS_PERCENT
    density_g_per_cm3: Density = DOUGH_DENSITY
    paper: Paper = "a4"


class KitchenOnForm(Value):
    """How a kitchen fared on this form, by thickness; `trials` are those behind all it knows."""

    kitchen_id: Identity
    trials: int
    baked: tuple[Baked, ...]


class DrawnTemplate(Value):
    """A template with its drawing, and the dough for all pieces with what trimming leaves over.

    `svg` is a page in true size: printed at 100 %, its bar measures 100 mm.
    """

    target: Target
    template: Template
    pieces: int
    trimmings_percent: float
    dough_grams: float
    density_g_per_cm3: float
    density_source: str
    cautions: tuple[Caution, ...]
    kitchen: KitchenOnForm | None
    svg: str


def drawn_template(asked: TemplateRequest) -> DrawnTemplate:
    """Return the template that was asked for."""
    target, density = asked.target, asked.density_g_per_cm3
    piece = template(target, density)
    return DrawnTemplate(
        target=target,
        template=piece,
        pieces=asked.pieces,
        trimmings_percent=asked.trimmings_percent,
        dough_grams=pieces_grams(target, asked.pieces, asked.trimmings_percent, density),
        density_g_per_cm3=density,
        density_source=DOUGH_DENSITY_SOURCE if density == DOUGH_DENSITY else "the request",
        cautions=form_cautions(target, piece),
        kitchen=_on_form(asked.taught, target.form),
        svg=draw_template(target, piece, asked.paper),
    )


def _on_form(taught: Taught | None, form: AnyForm) -> KitchenOnForm | None:
    if taught is None:
        return None
    return KitchenOnForm(
        kitchen_id=taught.kitchen_id,
        trials=taught.trials,
        baked=tuple(baked for baked in taught.baked if baked.form == form),
    )
