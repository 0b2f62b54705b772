"""A run: one brief over every recipe of a catalogue, and what came of each.

A run freezes the versions of the recipes it goes over. Names of ingredients in its limits apply
to the recipes that have them; for the others they are left out, and the item says so. How a run is
worked through is `service.runs`; one recipe's brief and answer are `models.brief` and
`models.outcome`.
"""

from collections.abc import Iterator
from typing import Annotated, Any, Literal, get_args

from pydantic import Field, StringConstraints, ValidationError, model_validator

from models.batch import Batch
from models.brief import Brief, PowderStrength, Weight
from models.errors import BadInput, Fault, message_of
from models.ingredient import Role
from models.learning import InKitchen
from models.limits import Limits
from models.measures import MeasureSystem
from models.outcome import Outcome
from models.ratios import DEFAULT_POWDER_STRENGTH
from models.recipe import MeasuredLine, Recipe
from models.target import Target
from models.value import Value
from models.window import Window
from models.written import AsWritten, Label, Moment

RunState = Literal["queued", "running", "finished", "cancelled"]
ItemOutcome = Literal[
    "unchanged", "reformulated", "infeasible", "unfinished", "unreadable", "failed"
]
"""A brief's outcome; or the recipe cannot be read; or the fault is ours."""
ITEM_OUTCOMES: tuple[ItemOutcome, ...] = get_args(ItemOutcome)

CatalogueId = Annotated[str, StringConstraints(min_length=1, max_length=32)]
Where = tuple[int | str, ...]


class LeftOut(Value):
    """A name in the run's limits that does not apply to one recipe, and why."""

    limit: str
    message: str


class RunBrief(InKitchen):
    """Everything of a brief but its recipe, and the catalogue whose recipes take its place."""

    catalogue_id: CatalogueId
    target: Target | None = None
    window: Window | None = None
    weights: Annotated[dict[Role, Weight], Field(max_length=12)] = Field(default_factory=dict)
    limits: Limits = Limits()
    measures: MeasureSystem = "as_written"
    powder_strength: PowderStrength = DEFAULT_POWDER_STRENGTH
    batch: Batch | None = None
    reading: Literal["lenient", "strict"] = "lenient"

    @model_validator(mode="after")
    def _asks_something(self) -> "RunBrief":
        """Refuse what no recipe could mend: asked of plain flour, all else of a brief is judged."""
        self._about(Recipe(lines=(_FLOUR,)), Limits())
        return self

    def brief_for(self, recipe: Recipe) -> tuple[Brief, tuple[LeftOut, ...]]:
        """Return the brief about `recipe`, and what of the limits does not apply to it.

        Raises BadInput where the recipe cannot be asked about at all.
        """
        misfits = self._misfits(recipe)
        try:
            brief = self._about(recipe, _without(self.limits, set(misfits)))
        except ValidationError as invalid:
            raise BadInput.of(invalid) from None
        return brief, tuple(
            LeftOut(limit=_limit_name(self.limits, where), message=message)
            for where, message in misfits.items()
        )

    def _misfits(self, recipe: Recipe) -> dict[Where, str]:
        """Return where in the limits stand names that do not fit `recipe`, and why."""
        try:
            self._about(recipe, self.limits)
        except ValidationError as invalid:
            return {
                fault["loc"][1:]: message_of(fault)
                for fault in invalid.errors()
                if fault["loc"][0:1] == ("limits",) and len(fault["loc"]) == 3
            }
        return {}

    def _about(self, recipe: Recipe, limits: Limits) -> Brief:
        rest = {name: getattr(self, name) for name in _SHARED}
        brief = Brief.model_validate({"recipe": recipe, "limits": limits, **rest})
        return brief.taught_by(self.taught)


_FLOUR = MeasuredLine(ingredient="all-purpose flour", quantity=100, unit="g")
_SHARED = (
    "target",
    "window",
    "weights",
    "measures",
    "powder_strength",
    "batch",
    "reading",
    "kitchen",
)


def _without(limits: Limits, misfits: set[Where]) -> Limits:
    def fitting(member: str, names: tuple[str, ...]) -> Iterator[str]:
        return (name for i, name in enumerate(names) if (member, i) not in misfits)

    return limits.model_copy(
        update={
            "keep": tuple(fitting("keep", limits.keep)),
            "may_add": tuple(fitting("may_add", limits.may_add)),
            "max_change_percent": {
                name: percent
                for name, percent in limits.max_change_percent.items()
                if ("max_change_percent", name) not in misfits
            },
        }
    )


def _limit_name(limits: Limits, where: Where) -> str:
    member, place = where
    return f"{member}.{getattr(limits, str(member))[place] if isinstance(place, int) else place}"


class RunTitle(Value):
    """What a run is to be called from now on."""

    title: Label


class Run(Value):
    """How far a run has come.

    `revision` counts what it has been called. `outcomes` counts the recipes that are done by what
    came of them. The rate is of the latest recipes, null while there are none; `seconds_left` is an
    estimate from it.
    """

    id: str
    title: str | None
    revision: int
    catalogue_id: str
    brief: Annotated[dict[str, Any], AsWritten(RunBrief)]
    state: RunState
    total: int
    done: int
    outcomes: dict[ItemOutcome, int]
    recipes_per_second: float | None
    seconds_left: float | None
    created_at: Moment
    started_at: Moment | None
    finished_at: Moment | None

    @property
    def is_over(self) -> bool:
        """Whether nothing more will come."""
        return self.state in {"finished", "cancelled"}


class ItemResult(Value):
    """What came of one recipe: its answer and the limits left out, or why there is none."""

    answer: Outcome | None = None
    left_out: tuple[LeftOut, ...] = ()
    faults: tuple[Fault, ...] = ()


class RunItem(ItemResult):
    """One recipe of a run, in the version that was frozen, and what came of it."""

    position: int
    recipe_id: str
    version: int
    external_id: str | None
    title: str | None
    outcome: ItemOutcome


class RunList(Value):
    """Runs, the oldest first; where there are more, a Link header leads to them."""

    runs: tuple[Run, ...]


class RunItems(Value):
    """What came of a run's recipes, in the catalogue's order; a Link header leads to more."""

    items: tuple[Annotated[dict[str, Any], AsWritten(RunItem)], ...]
