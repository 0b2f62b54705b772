"""Limits: what the caller will not change, and every limit of a brief under its own name.

A brief's limits are of three kinds. A *ratio limit* bounds one ratio on one side. A *change limit*
bounds how far some lines may move from the amount they start at, as a percentage of it; a kept
line is one that may move by nothing. A *crack limit* bounds the chance that a piece cracks on its
form. All are named as the answers name them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from models.exact import exact
from models.formula import Formula
from models.ingredient import Role
from models.pantry import Pantry
from models.ratios import Masses, RatioName, ratio_of
from models.target import Target
from models.value import Name, Percent
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


@dataclass(frozen=True, slots=True)
class RatioLimit:
    """One ratio held on one side of a value."""

    name: str
    ratio: RatioName
    side: Literal["min", "max"]
    value: Fraction

    def holds(self, masses: Masses) -> bool:
        """Tell whether the limit holds; none holds on a ratio with nothing to divide by."""
        value = ratio_of(self.ratio, masses)
        if value is None:
            return False
        return value <= self.value if self.side == "max" else value >= self.value


@dataclass(frozen=True, slots=True)
class ChangeLimit:
    """Lines (by position) that may move by at most `percent` of the amount they start at."""

    name: str
    positions: tuple[int, ...]
    percent: Fraction

    @property
    def value(self) -> Fraction:
        """What the limit is set to."""
        return self.percent


@dataclass(frozen=True, slots=True)
class CrackLimit:
    """The chance, in per cent, that a piece cracks on its form at most."""

    name: str
    percent: Fraction
    target: Target
    powder_strength: float

    @property
    def value(self) -> Fraction:
        """What the limit is set to."""
        return self.percent


Limit = RatioLimit | ChangeLimit | CrackLimit


def positions_of(name: str, formula: Formula, shelf: Pantry) -> tuple[int, ...]:
    """Return where the lines of the ingredient called `name` stand in the formula."""
    wanted = shelf.find(name)
    return tuple(
        position
        for position, line in enumerate(formula.lines)
        if wanted is not None and line.name == wanted.name
    )


def ratio_limits(bounds: RatioBounds, prefix: str = "") -> Iterator[RatioLimit]:
    """Yield every bound of `bounds` as a limit of its own, named `prefix` + ratio + side."""
    for ratio, allowed in bounds.ranges():
        if allowed.min is not None:
            yield RatioLimit(f"{prefix}{ratio}.min", ratio, "min", exact(allowed.min))
        if allowed.max is not None:
            yield RatioLimit(f"{prefix}{ratio}.max", ratio, "max", exact(allowed.max))


def change_limits(limits: Limits, formula: Formula, shelf: Pantry) -> Iterator[ChangeLimit]:
    """Yield the limits on change: the flour's, those by ingredient, and the kept lines."""
    flour_percent = limits.max_flour_change_percent
    flours = tuple(i for i, line in enumerate(formula.lines) if line.role == "flour")
    yield ChangeLimit(
        "max_flour_change_percent",
        flours,
        exact(DEFAULT_FLOUR_CHANGE_PERCENT if flour_percent is None else flour_percent),
    )
    for name, percent in limits.max_change_percent.items():
        positions = positions_of(name, formula, shelf)
        yield ChangeLimit(f"max_change_percent.{name}", positions, exact(percent))
    for name in dict.fromkeys(limits.keep):
        yield ChangeLimit(f"keep.{name}", positions_of(name, formula, shelf), Fraction(0))
