"""An outcome: the answer to a brief, as it goes over the wire.

Numbers are not rounded; measures and messages are what people read.
"""

from typing import Literal

from pydantic import ConfigDict, Field, SerializerFunctionWrapHandler, model_serializer

from models.brief import Bounded
from models.cautions import Allergens, Caution
from models.chance import CrackChance, Spread
from models.form import Form
from models.ingredient import Role
from models.learning import KitchenEstimate
from models.limits import NamedLimit
from models.measures import Amount, Scoop
from models.pieces import BatchOfPieces
from models.ratios import RatioName, Ratios
from models.reading import Aside, Uncertain
from models.recipe import DoubtfulLine
from models.target import Target
from models.thickness import thickness_words
from models.value import Estimate, Value
from models.window import CrackRange, Range
from models.wording import OutcomeName

BoundName = RatioName | Literal["crack_chance_percent"]


class Before(Value):
    """The amount a line starts from."""

    grams: float
    measure: str

    @classmethod
    def of(cls, amount: Amount) -> "Before":
        """Show `amount`."""
        return cls(grams=float(amount.grams), measure=amount.measure)


class After(Value):
    """The proposed amount, and the fillings that make it up (none for a weight or a jug)."""

    grams: float
    measure: str
    scoops: tuple[Scoop, ...]

    @classmethod
    def of(cls, amount: Amount) -> "After":
        """Show `amount`."""
        return cls(grams=float(amount.grams), measure=amount.measure, scoops=amount.scoops)


class OutcomeLine(Value):
    """One line before and after; `change_percent` is null for a line added from zero."""

    ingredient: str
    role: Role
    before: Before
    after: After | None
    moved: bool
    change_percent: float | None
    reason: str | None
    uncertain: Uncertain | None = None
    line: int | None = None


class WindowBound(Value):
    """A range that was applied, and whose it was."""

    model_config = ConfigDict(populate_by_name=True)

    min: float | None = None
    max: float | None = None
    source: Literal["caller", "form"] = Field(alias="from")

    @model_serializer(mode="wrap")
    def _bounds_that_bind(self, handler: SerializerFunctionWrapHandler) -> dict[str, object]:
        return {key: value for key, value in handler(self).items() if value is not None}


def window_of(brief: Bounded) -> dict[BoundName, WindowBound]:
    """Return the window as it was applied, and whose each bound is."""
    ranges: list[tuple[BoundName, Range | CrackRange]] = [*brief.applied_window.ranges()]
    cracks = brief.applied_window.crack_chance_percent
    if cracks is not None:
        ranges.append(("crack_chance_percent", cracks))
    return {
        name: WindowBound(
            min=getattr(allowed, "min", None),
            max=allowed.max,
            source="caller" if name in brief.stated else "form",
        )
        for name, allowed in ranges
    }


class RolledSheet(Value):
    """A sheet as it is rolled; `measure` is the mark that its guides are set to."""

    thickness_mm: float
    measure: str
    chilled: bool

    @classmethod
    def of(cls, target: Target) -> "RolledSheet":
        """Show the sheet of `target`."""
        thickness = target.thickness_mm
        return cls(
            thickness_mm=thickness, measure=thickness_words(thickness), chilled=target.chilled
        )


class OutcomeTarget(Value):
    """The form, and the sheet over it as planned and as proposed."""

    form: Form
    before: RolledSheet
    after: RolledSheet | None


class SpreadBeforeAndAfter(Value):
    """An estimate as planned and as proposed; null where there is none."""

    before: Spread | None
    after: Spread | None


class WordsBeforeAndAfter(Value):
    """The chance in words as planned and as proposed."""

    before: str | None
    after: str | None


class FormReport(Value):
    """What the form asks of the dough: estimates, which a trial bake decides.

    `event` is what the chance is a chance of. `before` and `after` say what the chance is made of.
    `hardly_known` where the range says next to nothing; `what_would_tell` then names what would.
    `round_test` says what a measured round changed, `kitchen` what stands behind a
    kitchen's own estimate. `ranges` is where each ratio could lie, alone
    and all else as in `after` (as in the recipe where there is no answer), for the chance to stay
    within its limit; a ratio is missing where no value would do. `thickness_needed_mm` is the
    thickest sheet that would do with the recipe as it is, null where none would. Where the belief
    ends every figure is null and `outside_experience` says what is unusual.
    """

    event: str
    chance_percent: SpreadBeforeAndAfter
    words: WordsBeforeAndAfter
    growth_mm: SpreadBeforeAndAfter
    before: CrackChance | None
    after: CrackChance | None
    hardly_known: bool
    what_would_tell: str | None
    round_test: str | None
    kitchen: KitchenEstimate | None
    ranges: dict[RatioName, Range]
    thickness_needed_mm: Estimate | None
    outside_experience: tuple[str, ...]
    limits_of_the_model: tuple[str, ...]


class AsideLine(Value):
    """A line that is none of the dough: where it stands, counted from 1, its words, and why."""

    line: int
    text: str
    aside: Aside


class BeforeAndAfter(Value):
    """The ratios of the recipe as it starts and as proposed."""

    before: Ratios
    after: Ratios | None


class Cost(Value):
    """What the proposal costs: how far lines move, how many do, what their fillings count, lines
    taken to nothing, and a thinner or chilled sheet; together the total."""

    total: float
    change: float
    moved_lines: float
    scoops: float
    left_out: float
    sheet: float


class Proof(Value):
    """Whether the cost is proved least; `bound` is what no answer can cost less than."""

    status: Literal["optimal", "deadline"]
    bound: float


class BindingLimit(NamedLimit):
    """A limit whose removal would lower the least cost.

    `eased_to` is that limit moved by a small slack, and `saves` how much less the least cost is
    then; both null where that slack saves nothing.
    """

    message: str
    eased_to: float | None
    saves: float | None


class Conflict(NamedLimit):
    """A limit that stands in the way, and the least value of it that alone would work."""

    value: float
    relax_to: float | None
    message: str


class Outcome(Value):
    """The answer to one brief.

    `batch_factor` is what every line of the recipe was multiplied by before anything moved;
    `pieces` what a batch of so many pieces takes and gives, null for any other.
    `lines` are those of the dough; `aside` are the recipe's other lines, which never move, and
    `doubtful` those among them that could not be read and could change the answer.
    `conflicts` is a set of limits of which no member can be left out; `relaxation` is what to
    change, together, so that the brief works.
    """

    outcome: OutcomeName
    target: OutcomeTarget | None
    window: dict[BoundName, WindowBound]
    form: FormReport | None
    batch_factor: float
    pieces: BatchOfPieces | None = None
    ratios: BeforeAndAfter
    lines: tuple[OutcomeLine, ...]
    cost: Cost | None
    proof: Proof | None = None
    binding: tuple[BindingLimit, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    relaxation: tuple[Conflict, ...] = ()
    cautions: tuple[Caution, ...]
    allergens: Allergens
    aside: tuple[AsideLine, ...] = ()
    doubtful: tuple[DoubtfulLine, ...] = ()
