"""The next bake of a kitchen, as an answer: the advice of `solver.next_bake` with its recipe, its
words, and what it rests on."""

from collections.abc import Iterator
from typing import assert_never

import numpy as np

from models.bake_sheet import ROUND_MM
from models.cautions import allergens_of, cautions_for
from models.errors import BadInput, Fault
from models.formula import Formula
from models.learning import KitchenEstimate, Taught
from models.next_bake import NextBake, NextBakeRequest, OtherWay, TraySheet
from models.thickness import thickness_words
from models.trial import Trial
from models.trial_scales import CANNOT_BE_SHAPED
from service.questions.way_words import changes_of, recipe_of_way, way_words
from solver.answers.kitchen_words import FEW_PIECES, estimate_in_kitchen
from solver.kitchen.ways import Ways
from solver.kitchen.worth import (
    CLOSER,
    HOLDS_BELOW,
    PIECES_AT_THE_WAY,
    PIECES_BESIDE,
    SAFER,
)
from solver.mechanics.calibrate import belief_of
from solver.mechanics.dough import LIMITS_OF_THE_MODEL
from solver.mechanics.experience import unusual
from solver.mechanics.lessons import Learned
from solver.next_bake import Advice, advise

NOT_GOOD_TO_EAT = 3
OVER_SURE = (
    "How likely a recipe holds is worked out from what is believed of doughs in general and from "
    "these trays: of recipes called 85 % sure, 94 in 100 held in simulated kitchens like the "
    "belief, and 78 in 100 in those least like it. Bake a second tray before you build on it."
)


def next_bake(asked: NextBakeRequest, learned: Learned, taught: Taught) -> NextBake:
    """Return what to do next in the kitchen that has `learned`; `taught` is the same in figures.

    Raises BadInput for a dough or a form of which nothing is known.
    """
    strange = unusual(asked.formula, asked.target, belief_of(taught).draws)
    if strange:
        raise BadInput(
            [Fault(pointer="/recipe", message=f"no bake can be planned: {w}") for w in strange]
        )
    ways = Ways(asked.formula, asked.target)
    leaning = SAFER if asked.preference == "safer" else CLOSER
    advice = advise(ways, learned, leaning, _allowed(ways, learned.trials))
    recipe = recipe_of_way(asked, advice.way)
    dough = Formula.from_recipe(recipe, asked.powder_strength)
    is_tray = advice.decision == "bake"
    return NextBake(
        step=advice.decision,
        words=_step_words(advice, asked),
        reason=_reason(advice, taught),
        recipe=recipe,
        changes=tuple(changes_of(advice.way, asked.target)),
        chilled=advice.way.chilled,
        sheets=tuple(_sheets(advice)),
        flat_round=_ROUND if is_tray else None,
        texture_cost=advice.way.cost,
        holds_percent=100 * advice.likely,
        worth=advice.worth,
        bake_costs=leaning.bake,
        others=tuple(
            OtherWay(
                words=way_words(way, asked.target),
                thickness=thickness_words(way.thickness_mm),
                texture_cost=way.cost,
                holds_percent=100 * likely,
            )
            for way, likely in advice.others
        ),
        would_have_to_give=tuple(_would_have_to_give(advice, asked)),
        kitchen=_estimate(asked, taught),
        cautions=cautions_for(dough),
        allergens=allergens_of(dough),
        limits_of_the_model=(OVER_SURE, *LIMITS_OF_THE_MODEL),
    )


_ROUND = f"One flat round of {ROUND_MM:g} mm from the same sheet, measured when cut and when cold."


def _estimate(asked: NextBakeRequest, taught: Taught) -> KitchenEstimate:
    estimate = estimate_in_kitchen(taught, [(asked.formula, asked.target)])
    assert estimate is not None, "a kitchen was named"
    return estimate


def _allowed(ways: Ways, trials: tuple[Trial, ...]) -> np.ndarray:
    """Return which ways may be tried: none as floury as a dough that could not be shaped, or that
    nobody would eat."""
    refused = [
        float(trial.formula.masses.flour / (trial.formula.total_grams - trial.formula.masses.flour))
        for trial in trials
        if trial.handling == CANNOT_BE_SHAPED or trial.texture == NOT_GOOD_TO_EAT
    ]
    if not refused:
        return np.ones(len(ways.ways), bool)
    flour = float(ways.formula.masses.flour)
    rest = float(ways.formula.total_grams) - flour
    return np.array(
        [way.flour == 1 or way.flour * flour / rest < min(refused) - 1e-9 for way in ways.ways]
    )


def _sheets(advice: Advice) -> Iterator[TraySheet]:
    for way, chance in zip(advice.tray, advice.tray_chances, strict=True):
        is_it = way.thickness_mm == advice.way.thickness_mm
        if advice.decision == "bake" or is_it:
            yield TraySheet(
                thickness_mm=way.thickness_mm,
                thickness=thickness_words(way.thickness_mm),
                pieces=PIECES_AT_THE_WAY if is_it else PIECES_BESIDE,
                chance_percent=100 * chance,
            )


def _step_words(advice: Advice, asked: NextBakeRequest) -> str:
    way = way_words(advice.way, asked.target)
    match advice.decision:
        case "bake":
            return f"Bake this next: {way}"
        case "publish":
            return f"Publish this one: {way}"
        case "not_with_this_dough":
            return "Not with this dough, on this form: no way tried or imagined is likely to hold."
        case _:
            assert_never(advice.decision)


def _reason(advice: Advice, taught: Taught) -> str:
    within = f"{100 * HOLDS_BELOW:.0f} %"
    said = (
        f"It holds (fewer than {within} of pieces show a crack) with a likelihood of "
        f"{100 * advice.likely:.0f} %, at a cost in texture of {advice.way.cost:.2f}."
    )
    match advice.decision:
        case "bake" if advice.worth >= advice.leaning.bake:
            why = (
                f"A tray of it is worth {advice.worth:.2f}, more than the {advice.leaning.bake:g} "
                "that a bake costs: three thicknesses on one tray tell where it begins to crack."
            )
        case "bake":
            why = "No other tray would teach enough; what is to be published is baked once first."
        case "publish":
            why = (
                f"Another tray would be worth {max(advice.worth, 0):.2f}, less than the "
                f"{advice.leaning.bake:g} that it costs, and this very sheet came out good."
            )
        case "not_with_this_dough":
            why = "Another tray would not change that enough to be worth its bake."
        case _:
            assert_never(advice.decision)
    few = taught.pieces < FEW_PIECES
    proves = " One good piece proves little; so far there are few." if few else ""
    return f"{said} {why}{proves}"


def _would_have_to_give(advice: Advice, asked: NextBakeRequest) -> Iterator[str]:
    if advice.decision != "not_with_this_dough":
        return
    target = asked.target
    if target.form.radius_mm is not None:
        yield "A form of twice the radius bends the sheet half as much."
    if (target.may_roll_to_mm or 2.0) > 2:
        yield "A sheet of 2 mm, if it may be rolled so thin (may_roll_to_mm)."
    yield "Another dough: with less sugar and fat to its flour it flows less and bears more."
