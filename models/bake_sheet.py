"""A bake sheet: one fair comparison, planned so that whatever differs in the oven can be read off.

A control and a variant of one dough, in a small batch that can still be measured. What is written
down afterwards is `models.trial`, by the scales of `models.trial_scales`.
"""

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated

from pydantic import Field

from models.cautions import Allergens, Caution
from models.chance import Spread
from models.form_words import NAMES
from models.formula import Formula
from models.ingredient import Role
from models.measures import Scoop
from models.recipe import Recipe
from models.target import Target, Thickness
from models.template import DOUGH_DENSITY, TRIMMINGS_PERCENT, pieces_grams
from models.thickness import thickness_words
from models.value import Value

ROUND_MM = 60.0
"""The flat round that goes on every tray: as published rounds are measured."""
MOST_ON_A_TRAY = 12

TrayPieces = Annotated[int, Field(ge=1, le=MOST_ON_A_TRAY)]

_PARTS = tuple(Fraction(n, d) for n, d in ((1, 4), (1, 3), (2, 5), (1, 2), (2, 3), (3, 4), (1, 1)))
_MORE = tuple(Fraction(n, 2) for n in range(3, 13))
_YOLK, _WHITE = Fraction(17, 50), Fraction(33, 50)
"""Of a whole egg: what is left of it when the rest is used elsewhere."""


class Variant(Value):
    """What is tried against the recipe as written: another recipe, another sheet, or both."""

    recipe: Recipe | None = None
    thickness_mm: Thickness | None = None
    chilled: bool | None = None


class BatchLine(Value):
    """One line of a test batch; `differs` where the other dough has another amount of it."""

    ingredient: str
    role: Role
    grams: float
    measure: str
    scoops: tuple[Scoop, ...]
    differs: bool


class TestBatch(Value):
    """One of the two doughs: its sheet, its amounts, and what is expected of it."""

    target: Target
    thickness: str
    lines: tuple[BatchLine, ...]
    dough_grams: float
    needed_grams: float
    chance_percent: Spread | None


class OutcomeScales(Value):
    """The words of each grade, from 0 up, by which the outcome is told."""

    crack_grades: tuple[str, ...]
    handling: tuple[str, ...]
    texture: tuple[str, ...]


class BakeSheet(Value):
    """One comparison to bake.

    `held_equal` is what must be alike on both trays, `differs` what is not. `variant` is null where
    nothing needs to change, or nothing would do; `notes` say so. `log_address` opens the form that
    takes the outcome, filled in but for the grades. `svg` is a page to print.
    """

    title: str
    pieces: int
    batch_factor: float
    control: TestBatch
    variant: TestBatch | None
    held_equal: tuple[str, ...]
    differs: tuple[str, ...]
    flat_round: str
    scales: OutcomeScales
    notes: tuple[str, ...]
    log_address: str | None
    cautions: tuple[Caution, ...]
    allergens: Allergens
    limits_of_the_model: tuple[str, ...]
    svg: str


def tray_grams(target: Target, pieces: int) -> float:
    """Return the dough that a tray takes [g]: its pieces with trimmings, and the flat round."""
    thickness_cm = target.thickness_mm / 10
    round_grams = math.pi * (ROUND_MM / 20) ** 2 * thickness_cm * DOUGH_DENSITY
    return pieces_grams(target, pieces, TRIMMINGS_PERCENT) + round_grams


def test_factors(formula: Formula, needed_grams: float) -> Iterator[Fraction]:
    """Yield what a test batch may multiply a recipe by, the least that is enough first: parts that
    spoons have, and those at which its eggs come out as wholes, a yolk or a white."""
    eggs = sum(
        (
            line.grams / Fraction(line.ingredient.grams_per_unit)
            for line in formula.lines
            if line.role == "egg" and line.ingredient.grams_per_unit
        ),
        Fraction(0),
    )
    factors = {*_PARTS, *_MORE}
    if eggs:
        counted = [n + part for n in range(13) for part in (Fraction(0), _YOLK, _WHITE)]
        factors |= {count / eggs for count in counted if count}
    total = formula.total_grams
    yield from sorted(f for f in factors if float(f * total) >= needed_grams)


def held_equal(control: Target, variant: Target | None) -> Iterator[str]:
    """Yield what must be alike on both trays, or the comparison says nothing."""
    sheets = {control.thickness_mm, variant.thickness_mm if variant else control.thickness_mm}
    guides = " and ".join(thickness_words(thickness) for thickness in sorted(sheets))
    yield f"Cut both from the template of the same form ({NAMES[control.form.kind].lower()})."
    yield f"Roll between guides: {guides}. First roll only; no trimmings."
    if variant is None or variant.chilled == control.chilled:
        yield "Both chilled, for the same time." if control.chilled else "Neither is chilled."
    yield "Lay each piece centred on its form; the same forms for both, as clean and as greased."
    yield "The same shelf and place in the oven, the same heat and minutes; do not open it."
    yield "The same flour, butter and eggs, at the same warmth; mixed the same day."
