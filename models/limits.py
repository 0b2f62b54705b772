"""Limits: what the caller will not change, and every limit of a brief under its own name.

A brief's limits are of three kinds. A *ratio limit* bounds one ratio on one side. A *change limit*
bounds how far some lines may move from the amount they start at, as a percentage of it; a kept
line is one that may move by nothing. A *crack limit* bounds the chance that a piece cracks on its
form. Each knows its kind and its subject, and from them the name that answers give it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, Literal, assert_never

from pydantic import Field

from models.exact import exact
from models.formula import Formula
from models.ingredient import Role
from models.pantry import Pantry
from models.ratios import Masses, RatioName, ratio_of
from models.target import Target
from models.value import Name, Percent, Value
from models.window import RatioBounds

MOVABLE_ROLES: tuple[Role, ...] = ("flour", "fat", "sugar", "syrup", "egg", "liquid", "leavener")
"""Roles that move unless kept; the others (flavour, salt, ...) move only where weighted by name."""

DEFAULT_FLOUR_CHANGE_PERCENT = 20.0

REACH: dict[Role, tuple[Fraction, Fraction]] = {
    "leavener": (Fraction(-1), Fraction(1, 2)),
    "flour": (Fraction(-1), Fraction(1)),  # within max_flour_change_percent
}
"""How far a line of a role may move, as a share of its amount, whatever the limits say."""
DEFAULT_REACH = (Fraction(-1, 2), Fraction(1, 2))

ADDED_SHARE_OF_FLOUR: dict[Role, Fraction] = {"leavener": Fraction(5, 100)}
DEFAULT_ADDED_SHARE_OF_FLOUR = Fraction(30, 100)
"""How much of a new ingredient may enter, as a share of the flour."""


class Limits(RatioBounds):
    """What the caller will not give up: lines kept, changes bounded, ratios held."""

    keep: Annotated[tuple[Name, ...], Field(max_length=200)] = ()
    max_flour_change_percent: Percent | None = None
    max_change_percent: Annotated[dict[Name, Percent], Field(max_length=200)] = Field(
        default_factory=dict
    )
    may_add: Annotated[tuple[Name, ...], Field(max_length=20)] = ()


Side = Literal["min", "max"]

LimitKind = Literal["ratio", "held_ratio", "crack_chance", "flour_change", "change", "keep"]
"""What a limit is about: a ratio of the window or one that the caller holds besides, the chance of
a crack, how far the flour or a named ingredient may move, an ingredient kept as it is."""


@dataclass(frozen=True, slots=True)
class RatioLimit:
    """One ratio held on one side of a value; `held` where it is not of the window."""

    ratio: RatioName
    side: Side
    value: Fraction
    held: bool = False

    @property
    def kind(self) -> LimitKind:
        """What the limit is about."""
        return "held_ratio" if self.held else "ratio"

    @property
    def subject(self) -> str:
        """The ratio."""
        return self.ratio

    @property
    def name(self) -> str:
        """The limit as answers name it: "flour_to_fat.max", "limits.flour_to_fat.max"."""
        return f"{'limits.' if self.held else ''}{self.ratio}.{self.side}"

    @property
    def row_name(self) -> str:
        """The limit as the program calls its row: "max_flour_to_fat", "held_max_flour_to_fat"."""
        return f"{'held_' if self.held else ''}{self.side}_{self.ratio}"

    def holds(self, masses: Masses) -> bool:
        """Tell whether the limit holds; none holds on a ratio with nothing to divide by."""
        value = ratio_of(self.ratio, masses)
        if value is None:
            return False
        return value <= self.value if self.side == "max" else value >= self.value


ChangeKind = Literal["flour_change", "change", "keep"]


@dataclass(frozen=True, slots=True)
class ChangeLimit:
    """Lines (by position) that may move by at most `percent` of the amount they start at.

    `subject` is what the caller calls them, nothing where the limit is on all flour.
    """

    kind: ChangeKind
    subject: str | None
    positions: tuple[int, ...]
    percent: Fraction

    @property
    def side(self) -> Side:
        """A limit on change is an upper one."""
        return "max"

    @property
    def name(self) -> str:
        """The limit as answers name it: "max_change_percent.molasses"."""
        match self.kind:
            case "flour_change":
                return "max_flour_change_percent"
            case "change":
                return f"max_change_percent.{self.subject}"
            case "keep":
                return f"keep.{self.subject}"
            case _:
                assert_never(self.kind)

    @property
    def value(self) -> Fraction:
        """What the limit is set to."""
        return self.percent


@dataclass(frozen=True, slots=True)
class CrackLimit:
    """The chance, in per cent, that a piece cracks on its form at most."""

    percent: Fraction
    target: Target
    powder_strength: float

    @property
    def kind(self) -> LimitKind:
        """What the limit is about."""
        return "crack_chance"

    @property
    def subject(self) -> None:
        """The dough as a whole."""
        return None

    @property
    def side(self) -> Side:
        """A limit on a chance is an upper one."""
        return "max"

    @property
    def name(self) -> str:
        """The limit as answers name it."""
        return "crack_chance_percent.max"

    @property
    def value(self) -> Fraction:
        """What the limit is set to."""
        return self.percent


Limit = RatioLimit | ChangeLimit | CrackLimit


class NamedLimit(Value):
    """One limit in an answer: its name, and the same taken apart.

    `subject` is the ratio, or the ingredient as the caller calls it; null where the limit is on the
    whole dough or on all its flour.
    """

    limit: str
    kind: LimitKind
    subject: str | None
    side: Side

    @staticmethod
    def naming(limit: Limit) -> dict[str, Any]:
        """Return the members that name `limit`."""
        return {
            "limit": limit.name,
            "kind": limit.kind,
            "subject": limit.subject,
            "side": limit.side,
        }


def positions_of(name: str, formula: Formula, pantry: Pantry) -> tuple[int, ...]:
    """Return where the lines of the ingredient called `name` stand in the formula."""
    wanted = pantry.find(name)
    return tuple(
        position
        for position, line in enumerate(formula.lines)
        if wanted is not None and line.name == wanted.name
    )


def ratio_limits(bounds: RatioBounds, *, held: bool = False) -> Iterator[RatioLimit]:
    """Yield every bound of `bounds` as a limit of its own."""
    for ratio, allowed in bounds.ranges():
        if allowed.min is not None:
            yield RatioLimit(ratio, "min", exact(allowed.min), held)
        if allowed.max is not None:
            yield RatioLimit(ratio, "max", exact(allowed.max), held)


def change_limits(limits: Limits, formula: Formula, pantry: Pantry) -> Iterator[ChangeLimit]:
    """Yield the limits on change: the flour's, those by ingredient, and the kept lines."""
    flour_percent = limits.max_flour_change_percent
    flours = tuple(i for i, line in enumerate(formula.lines) if line.role == "flour")
    yield ChangeLimit(
        "flour_change",
        None,
        flours,
        exact(DEFAULT_FLOUR_CHANGE_PERCENT if flour_percent is None else flour_percent),
    )
    for name, percent in limits.max_change_percent.items():
        positions = positions_of(name, formula, pantry)
        yield ChangeLimit("change", name, positions, exact(percent))
    for name in dict.fromkeys(limits.keep):
        yield ChangeLimit("keep", name, positions_of(name, formula, pantry), Fraction(0))
