"""What a kitchen has learned, frozen: it goes with a question to whoever answers it.

It is plain numbers, so that a run can keep it; what they mean is `solver.mechanics.calibrate`, and
how they are learned from trials `solver.mechanics.lessons`. The kitchen itself is `models.kitchen`.
"""

from typing import Self

from pydantic import PrivateAttr

from models.catalogue import Identity
from models.form import Form
from models.trial_scales import Handling
from models.value import EstimatedPercent, Value


class Baked(Value):
    """What was baked at one thickness on one form: pieces, those with a crack that shows, and those
    that slid."""

    form: Form
    thickness_mm: float
    pieces: int
    cracked: int
    slid: int


class Handled(Value):
    """How a dough of these ratios took to being shaped."""

    liquid_per_flour: float
    wet_per_flour: float
    grade: Handling


class Taught(Value):
    """What a kitchen's trials have taught.

    `middle` and `spread` are the belief in standard deviations of an untried kitchen's, as a normal
    with a symmetric root of its covariance. `tally_share` is how far the kitchen leans on a plain
    tally instead of the mechanics, 0 to 1.
    """

    kitchen_id: Identity
    trials: int
    pieces: int
    rounds: int
    tally_share: float
    middle: tuple[float, ...]
    spread: tuple[tuple[float, ...], ...]
    baked: tuple[Baked, ...] = ()
    handled: tuple[Handled, ...] = ()


class InKitchen(Value):
    """A question that may be asked of a kitchen: answered by what its trials have taught."""

    kitchen: Identity | None = None
    _taught: Taught | None = PrivateAttr(default=None)

    @property
    def taught(self) -> Taught | None:
        """What the kitchen has learned; None where none was named."""
        return self._taught

    def taught_by(self, taught: Taught | None) -> Self:
        """Return the same question to a kitchen that has learned this."""
        asked = self.model_copy()
        asked._taught = taught
        return asked


class UntriedPercent(Value):
    """The chance that an untried kitchen would have, before and after; null where there is none."""

    before: EstimatedPercent | None
    after: EstimatedPercent | None


class KitchenEstimate(Value):
    """What stands behind a kitchen's own estimate, and how far it differs from an untried one's.

    `tally_share_percent` is how far its cracks have followed a plain tally rather than the
    mechanics of the sheet.
    """

    kitchen_id: Identity
    trials: int
    pieces: int
    rounds: int
    untried_percent: UntriedPercent
    tally_share_percent: EstimatedPercent
    words: str
