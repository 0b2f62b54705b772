"""What stands behind an estimate that a kitchen has learned, in words and figures."""

from collections.abc import Sequence

from models.formula import Formula
from models.learning import KitchenEstimate, Taught, UntriedPercent
from models.target import Target
from solver.mechanics.calibrate import belief_of
from solver.mechanics.chance import crack_percent
from solver.mechanics.experience import unusual

FEW_PIECES = 8
"""Fewer prove little: eight whole ones in a row still leave a chance of one in three that a fifth
of all crack, by 0.8^5; and pieces of one tray are not so many witnesses."""


def estimate_in_kitchen(
    taught: Taught | None, states: Sequence[tuple[Formula, Target]]
) -> KitchenEstimate | None:
    """Return what stands behind a kitchen's chances of one state of a dough or two, None where no
    kitchen was named."""
    if taught is None:
        return None
    untried = [_untried_percent(dough, target) for dough, target in states]
    before, after = untried[0], untried[-1] if len(untried) > 1 else None
    return KitchenEstimate(
        kitchen_id=taught.kitchen_id,
        trials=taught.trials,
        pieces=taught.pieces,
        rounds=taught.rounds,
        untried_percent=UntriedPercent(before=before, after=after),
        tally_share_percent=100 * taught.tally_share,
        words=_words(taught, states[0], before),
    )


def counted(count: int, thing: str) -> str:
    """Return so many of a thing: "1 tray", "2 trays"."""
    return f"{count} {thing}{'' if count == 1 else 's'}"


def _untried_percent(dough: Formula, target: Target) -> float | None:
    return None if unusual(dough, target) else crack_percent(dough, target)


def _words(taught: Taught, first: tuple[Formula, Target], untried: float | None) -> str:
    if not taught.trials:
        return "Nothing was baked in this kitchen yet: these are an untried kitchen's estimates."
    trays, stand = counted(taught.trials, "tray"), "stands" if taught.trials == 1 else "stand"
    pieces = counted(taught.pieces, "piece")
    said = [f"{trays} of this kitchen ({pieces}) {stand} behind these estimates."]
    draws = belief_of(taught).draws
    if untried is not None and not unusual(*first, draws):
        here = crack_percent(*first, draws)
        said.append(f"As it is: {here:.0f} %, where an untried kitchen would have {untried:.0f} %.")
    if taught.pieces < FEW_PIECES:
        said.append("So few pieces prove little; one good piece proves next to nothing.")
    if taught.tally_share > 0.5:
        said.append(
            "Cracks here have followed a plain tally of thickness and leavening better than the "
            "mechanics of the sheet: take even the order of two changes with doubt."
        )
    return " ".join(said)
