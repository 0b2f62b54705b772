"""Where the belief ends: doughs and forms of which nothing is believed, and what is unusual.

The draws that the belief is made of agree about rolled doughs and lose each other beyond: the
spread of ln q over them is a clean guard. Of what lies outside there is no figure, only words.
"""

from collections.abc import Iterator
from typing import assert_never

import numpy as np

from models.form import AnyForm, Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from models.formula import Formula
from models.target import Target
from solver.mechanics.belief import Draws, untried
from solver.mechanics.dough import (
    REFERENCE_FAT,
    REFERENCE_SUGARS,
    REFERENCE_WATER,
    Substances,
    gas_percent,
    state_of,
    substances_of,
)

MOST_LN_GROWTH_SD = 1.0
"""Rolled doughs lie at 0.62 to 0.97; a no-fat dough at 1.2, pastry 1.3, drop cookies 1.6."""
MOST_GAS_PERCENT = 0.8
MOST_ACID_PERCENT = 8.4
"""Of the soda that its acids would meet, to the solids: a milliequivalent to the gram,
as two tablespoons of vinegar bring to an ounce of flour. Judgement."""
USUAL_PERCENT = {"fat": REFERENCE_FAT, "sugars": REFERENCE_SUGARS, "water": REFERENCE_WATER}
LEAST_SOLIDS_SHARE = 0.3
LEAST_RADIUS_PER_THICKNESS = 4.0
LEAST_SIZE_PER_THICKNESS = 6.0
LEAST_CONE_TOP_MM = 20.0


def unusual(formula: Formula, target: Target, draws: Draws | None = None) -> tuple[str, ...]:
    """Return what puts a dough on a form outside experience, nothing where it is within."""
    return (*_of_the_dough(formula, draws or untried()), *_of_the_form(target))


def _of_the_dough(formula: Formula, draws: Draws) -> Iterator[str]:
    substances = substances_of(formula)
    whole = float(formula.total_grams)
    if substances.solids < LEAST_SOLIDS_SHARE * whole or not substances.solids:
        share = 100 * substances.solids / whole if whole else 0.0
        yield (
            f"flour and the like are {share:.0f} % of the dough; nothing is known of less than "
            f"{100 * LEAST_SOLIDS_SHARE:.0f} %"
        )
        return
    yield from _of_the_substances(substances, draws)


def _of_the_substances(substances: Substances, draws: Draws) -> Iterator[str]:
    with np.errstate(over="ignore", invalid="ignore"):
        state = state_of(substances, False, draws)
        gas = float(gas_percent(substances, 0.7))
    if not all(np.isfinite(part).all() for part in state):
        yield "its amounts are beyond any sum"
        return
    raised = gas > MOST_GAS_PERCENT
    # Where there is too much gas it spreads the draws by itself; the rest may be usual.
    rest = substances._replace(soda=0.0, acid=0.0, potash=0.0, gas=0.0) if raised else substances
    spread = float(np.std(state_of(rest, False, draws).ln_growth))
    if spread > MOST_LN_GROWTH_SD:
        percent = {n: 100 * getattr(substances, n) / substances.solids for n in USUAL_PERCENT}
        told = ", ".join(f"{name} {value:.0f} %" for name, value in percent.items())
        usual = ", ".join(f"{value:.0f}" for value in USUAL_PERCENT.values())
        yield (
            f"it is unlike a rolled butter or honey dough: to its flour, {told}, where such doughs "
            f"lie about {usual}"
        )
    if raised:
        yield f"its leavening gives {gas:.2g} % gas; nothing is known beyond {MOST_GAS_PERCENT} %"
    acid = 100 * substances.acid / substances.solids
    if acid > MOST_ACID_PERCENT:
        yield f"its acids would meet {acid:.0f} % of soda; nothing is known beyond 8 %"
    if (state.crack_strain <= 0).any():
        yield "its fat leaves it nothing that it would bear"


def _of_the_form(target: Target) -> Iterator[str]:
    form, thickness = target.form, target.thickness_mm
    radius = form.radius_mm
    if radius is not None and radius < LEAST_RADIUS_PER_THICKNESS * thickness:
        yield (
            f"the form's radius of {radius:.3g} mm is less than four times the sheet's "
            f"{thickness:.3g} mm"
        )
    if _size_mm(form) < LEAST_SIZE_PER_THICKNESS * thickness:
        yield f"the piece is less than six times as long as its sheet's {thickness:.3g} mm"
    if isinstance(form, Cone) and form.top_diameter_mm < LEAST_CONE_TOP_MM:
        yield f"the cone's top of {form.top_diameter_mm:.3g} mm is less than 20 mm across"


def _size_mm(form: AnyForm) -> float:
    """Return the arc or diameter along which a sheet can flow [mm]."""
    match form:
        case Cylinder() | Dome() | Wave():
            return float(2 * np.radians(form.half_wrap_degrees) * form.radius_mm)
        case Cone():
            return form.apex_to_base_mm - form.apex_to_top_mm
        case FlatRound():
            return form.diameter_mm
        case FlatPanel() | LeaningPanel():
            return min(form.width_mm, form.height_mm)
        case _:
            assert_never(form)
