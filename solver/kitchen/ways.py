"""Ways: the doughs and sheets that a baker may try, with what each costs in texture.

Leavening × flour × another fat × chilled × thickness: coarse steps, for a bake is dear and an
amount is made measurable once it is chosen. What is believed of each way is `solver.kitchen.worth`;
the costs are those of every other answer, `solver.search.costs`.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from models.exact import exact
from models.formula import Formula
from models.ingredient import Role
from models.pantry import known_pantry
from models.target import LEAST_THICKNESS_MM, Target
from models.thickness import thinner_guides
from solver.mechanics.dough import Substances, substances_per_gram
from solver.mechanics.trays import Evidence, evidence_of_plans
from solver.search.costs import CHILLING_COST, LEFT_OUT_COST, MOVED_LINE_COST, sheet_cost

LEAVENING = (1.0, 0.75, 0.5, 0.25, 0.0)
FLOUR = (1.0, 1.05, 1.1, 1.15, 1.2, 1.25, 1.3)
STIFF_FLOUR = {1.25: 0.05, 1.3: 0.15}
"""What so much flour costs beyond its change: the sheet gets hard to roll. Judgement."""
LEAVENER_WEIGHT, FLOUR_WEIGHT, FAT_WEIGHT = 0.4, 1.0, 1.0
THINNEST_MM = 2.0
"""Thinner than this a sheet tears when it is lifted; the caller may allow more."""
MOST_SHEETS, MOST_SHEETS_A_TRAY = 6, 3
FAT_TO_SWAP_IN = "vegetable shortening"


@dataclass(frozen=True)
class Way:
    """One dough on one sheet: what is done to the recipe, and what that costs."""

    leavening: float
    flour: float
    swapped: bool
    chilled: bool
    thickness_mm: float
    cost: float

    @property
    def dough(self) -> tuple[float, float, bool, bool]:
        """What tells the dough and its chill from others, whatever the sheet."""
        return self.leavening, self.flour, self.swapped, self.chilled


class Ways:
    """Every way to bake one recipe on one form, with the dough of each as arrays."""

    def __init__(self, formula: Formula, target: Target) -> None:
        """List the ways; moves that do nothing to this recipe are left out."""
        self.formula = formula
        self.target = target
        self.thicknesses_mm = _thicknesses(target)
        parts = _Parts(formula)
        self.ways = tuple(_all(parts, target, self.thicknesses_mm))
        substances = [parts.of(way) for way in self.ways]
        self.substances = Substances(
            *(np.array(column) for column in zip(*substances, strict=True))
        )
        self.costs = np.array([way.cost for way in self.ways])

    @cached_property
    def plans(self) -> Evidence:
        """The ways as if each were a tray of its own, with nothing told of it."""
        return evidence_of_plans(
            self.target.form,
            np.array([way.thickness_mm for way in self.ways]),
            np.array([float(way.chilled) for way in self.ways]),
            self.substances,
        )

    @cached_property
    def places(self) -> dict[tuple[tuple[float, float, bool, bool], float], int]:
        """Where each way stands, by dough and thickness."""
        return {(way.dough, way.thickness_mm): at for at, way in enumerate(self.ways)}

    def tray_of(self, at: int) -> tuple[int, ...]:
        """Return the way and its neighbours in thickness, three where there are as many, the
        thinnest first."""
        way = self.ways[at]
        step = self.thicknesses_mm.index(way.thickness_mm)
        first = max(0, min(step - 1, len(self.thicknesses_mm) - MOST_SHEETS_A_TRAY))
        beside = self.thicknesses_mm[first : first + MOST_SHEETS_A_TRAY]
        return tuple(self.places[way.dough, thickness] for thickness in sorted(beside))


class _Parts:
    """A recipe's substances, apart by what a way moves."""

    def __init__(self, formula: Formula) -> None:
        self.leaveners = _sum(formula, lambda role, kind: role == "leavener")
        self.flours = _sum(formula, lambda role, kind: role == "flour")
        self.butter = _sum(formula, lambda role, kind: kind == "butter")
        self.rest = _sum(
            formula, lambda role, kind: role not in {"leavener", "flour"} and kind != "butter"
        )
        self.has_leavener = any(line.role == "leavener" and line.grams for line in formula.lines)
        self.has_butter = self.butter.fat > 0
        shortening = known_pantry().find(FAT_TO_SWAP_IN)
        assert shortening is not None, "the table has shortening"
        per_gram = substances_per_gram(shortening)
        self.shortening = _times(per_gram, self.butter.fat / per_gram.fat)
        self.leavener_lines = sum(
            line.role == "leavener" and bool(line.grams) for line in formula.lines
        )

    def of(self, way: Way) -> Substances:
        """Return what the dough of a way is made of."""
        fat = self.shortening if way.swapped else self.butter
        scaled = (_times(self.leaveners, way.leavening), _times(self.flours, way.flour))
        return Substances(*map(sum, zip(*scaled, fat, self.rest, strict=True)))


def _sum(formula: Formula, wanted: Callable[[Role, str | None], bool]) -> Substances:
    total = [0.0] * len(Substances._fields)
    for line in formula.lines:
        for part in line.amount.parts:
            if wanted(line.role, line.ingredient.fat_kind):
                each = substances_per_gram(part.ingredient)
                total = [t + float(part.grams) * x for t, x in zip(total, each, strict=True)]
    return Substances(*total)


def _times(substances: Substances, factor: float) -> Substances:
    return Substances(*(factor * x for x in substances))


def _thicknesses(target: Target) -> tuple[float, ...]:
    """Return the sheets that may be rolled, the thickest first."""
    least = target.may_roll_to_mm or max(LEAST_THICKNESS_MM, THINNEST_MM)
    thinner = [float(t) for t in thinner_guides(target.thickness_mm, least)]
    if len(thinner) >= MOST_SHEETS:
        kept = np.linspace(0, len(thinner) - 1, MOST_SHEETS - 1).round().astype(int)
        thinner = [thinner[i] for i in kept]
    return (target.thickness_mm, *thinner)


def _all(parts: _Parts, target: Target, thicknesses: tuple[float, ...]) -> Iterator[Way]:
    for leavening in LEAVENING if parts.has_leavener else LEAVENING[:1]:
        for flour in FLOUR:
            for swapped in (False, True) if parts.has_butter else (False,):
                for chilled in (True,) if target.chilled else (False, True):
                    cost = _dough_cost(parts, leavening, flour, swapped)
                    if chilled and not target.chilled:
                        cost += float(CHILLING_COST)
                    for thickness in thicknesses:
                        sheet = sheet_cost(
                            exact(target.thickness_mm), exact(thickness), newly_chilled=False
                        )
                        whole = cost + float(sheet)
                        yield Way(leavening, flour, swapped, chilled, thickness, whole)


def _dough_cost(parts: _Parts, leavening: float, flour: float, swapped: bool) -> float:
    cost, moved = 0.0, float(MOVED_LINE_COST)
    if leavening != 1:
        gone = float(LEFT_OUT_COST) if leavening == 0 else 0.0
        cost += parts.leavener_lines * (LEAVENER_WEIGHT * (1 - leavening) + moved + gone)
    if flour != 1:
        cost += FLOUR_WEIGHT * (flour - 1) + moved + STIFF_FLOUR.get(flour, 0.0)
    return cost + (FAT_WEIGHT + moved if swapped else 0.0)
