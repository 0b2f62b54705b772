"""Sections: a piece on its form as it is and as it might be, drawn with what cracks it.

The estimates are `solver.mechanics.chance` and `solver.mechanics.profile`; the drawing is
`service.drawings.section`.
"""

from typing import Annotated

import numpy as np
from pydantic import Field, model_validator

from models.brief import RecipeToWeigh
from models.chance import CrackChance
from models.errors import BadInput, Fault, refusal
from models.formula import Formula
from models.learning import InKitchen, KitchenEstimate
from models.round_test import RoundTest
from models.target import Target
from models.value import Name, Value
from service.drawings.course import Course
from service.drawings.section import SectionState, draw_section
from solver.answers.kitchen_words import estimate_in_kitchen
from solver.mechanics.belief import Draws, middle
from solver.mechanics.chance import crack_chance
from solver.mechanics.dough import LIMITS_OF_THE_MODEL, state_of, substances_of
from solver.mechanics.experience import unusual
from solver.mechanics.profile import profile
from solver.mechanics.round_test import believed
from solver.mechanics.sheet import fluidity

MOST_DRAWN_LN_GROWTH = 8.0
"""A round that grows by three metres: what flows more is drawn no flatter."""

_LABELS = ("Before", "After")


class PieceState(RecipeToWeigh):
    """A dough on a form, and what to call it in the drawing."""

    target: Target
    label: Name | None = None

    @model_validator(mode="after")
    def _has_flour(self) -> "PieceState":
        if not self.formula.flour_grams:
            raise refusal([(("recipe", "lines"), "has no flour; a sheet is rolled from a dough")])
        return self


class SectionRequest(InKitchen):
    """One state of a piece, or two on one form; `stacked` sets them one above the other."""

    states: Annotated[tuple[PieceState, ...], Field(min_length=1, max_length=2)]
    round_test: RoundTest | None = None
    stacked: bool = False

    @model_validator(mode="after")
    def _shares_a_form(self) -> "SectionRequest":
        forms = [state.target.form for state in self.states]
        if forms[0] != forms[-1]:
            message = "must be the form of the first state; two forms have no common picture"
            raise refusal([(("states", 1, "target", "form"), message)])
        return self


class EstimatedState(Value):
    """What is estimated of one state."""

    label: str
    target: Target
    chance: CrackChance


class DrawnSection(Value):
    """The states with their chances of a crack, their drawing, and what the model leaves out."""

    states: tuple[EstimatedState, ...]
    kitchen: KitchenEstimate | None
    limits_of_the_model: tuple[str, ...]
    svg: str


def drawn_section(asked: SectionRequest) -> DrawnSection:
    """Return the drawing of the states that were asked for; a round test is of the first dough.

    Raises BadInput for a dough or a form of which nothing is known, and for a round that no such
    dough shows.
    """
    given = believed(asked.round_test, asked.states[0].formula, asked.taught)
    faults = [
        Fault(pointer=f"/states/{at}", message=f"no estimate can be drawn: {words}")
        for at, state in enumerate(asked.states)
        for words in unusual(state.formula, state.target, given)
    ]
    if faults:
        raise BadInput(faults)
    states = [
        section_state(state.label or label, state.formula, state.target, given)
        for state, label in zip(asked.states, _LABELS, strict=False)
    ]
    return DrawnSection(
        states=tuple(
            EstimatedState(label=s.label, target=s.course.target, chance=s.chance) for s in states
        ),
        kitchen=estimate_in_kitchen(
            asked.taught, [(state.formula, state.target) for state in asked.states]
        ),
        limits_of_the_model=LIMITS_OF_THE_MODEL,
        svg=draw_section(states, stacked=asked.stacked),
    )


def section_state(
    label: str, formula: Formula, target: Target, given: Draws | None = None
) -> SectionState:
    """Return what a dough does on its form, drawn by the mean belief, with the belief's chance."""
    mean = middle()
    dough, slip = (
        state_of(substances_of(formula), target.chilled, mean),
        float(np.exp(mean.ln_slip)),
    )
    growth = np.minimum(dough.ln_growth, MOST_DRAWN_LN_GROWTH)
    flows = fluidity(growth, target.thickness_mm, slip, mean.thickness_power)
    course = profile(target.form, target.thickness_mm, float(flows), slip, float(dough.rise))
    return SectionState(label, Course(target, course), crack_chance(formula, target, given))
