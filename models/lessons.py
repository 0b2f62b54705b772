"""Lessons: what each tray of a kitchen taught, as it is told to a baker.

They are worked out by `solver.mechanics.lessons`; the trays are `models.trial`.
"""

from models.catalogue import Identity
from models.value import Estimate, EstimatedPercent, Percent, Value


class TrayLesson(Value):
    """One tray: what was foretold before it was learned from, what happened, and what is foretold
    of the same tray since."""

    trial_id: Identity
    words: str
    pieces: int
    foretold_percent: EstimatedPercent | None
    cracked_percent: Percent | None
    since_percent: EstimatedPercent | None
    foretold_growth_mm: Estimate | None
    grew_mm: float | None
    is_surprising: bool


class Calibrated(Value):
    """Pieces of which a chance within this range was foretold, and how many of them cracked."""

    from_percent: float
    to_percent: float
    pieces: int
    foretold_percent: EstimatedPercent
    cracked_percent: Percent


class Lessons(Value):
    """What a kitchen has learned, tray by tray, in the order in which they were told.

    `tally_share_percent` is how far its cracks have followed a plain tally rather than the
    mechanics of the sheet. `left_out` counts trials that could not be read, or were too many.
    """

    kitchen_id: Identity
    words: str
    trials: tuple[TrayLesson, ...]
    calibration: tuple[Calibrated, ...]
    tally_share_percent: EstimatedPercent
    left_out: int
    svg: str
