"""The program: the smallest measurable change as a choose-one mixed-integer program.

Sets
    k ∈ K            lines of the dough, those that may enter from zero last
    j ∈ J_k          options of line k: amounts a person can measure; j = 0 stays as it is
    l ∈ L            ratio limits, each N_l / D_l ≤ v_l or ≥ v_l

Data (grams)
    f_kj  a_kj       flour and fat brought by option j of line k
    n_lkj d_lkj      what the option adds to the numerator and denominator of limit l's ratio
    c_kj             its cost: weight × |grams − grams before| / grams before
                     + 0.05 for moving + 0.004 a filling; c_k0 = 0
    v_l              the limit's value;  F0, D0_l  the flour and the denominator before

Variables
    y_kj ∈ {0, 1}    line k takes option j

Minimise
    Σ_k Σ_j c_kj y_kj

Subject to
    (one)    Σ_j y_kj = 1                                          for every line k
    (max)    Σ_kj (n_lkj − v_l d_lkj) y_kj / s_l ≤ 0               for every upper limit l
    (min)    Σ_kj (v_l d_lkj − n_lkj) y_kj / s_l ≤ 0               for every lower limit l
    (flour)  Σ_{kj: f_kj > 0} y_kj ≥ 1        where the flour could vanish
    (fat)    Σ_{kj: a_kj > 0} y_kj ≥ 1        where a ratio to fat is limited and it could vanish

A ratio times its positive denominator is linear, so no big-M is needed, and bounds hold for amounts
as measured because nothing else can be chosen. s_l = max(v_l D0_l, F0 / 100) makes a row's
tolerance one of the limit itself. Change limits (kept lines, flour within a percentage) only
shorten J_k; see `solver.search.options`. Options in equal steps are handed over as one choice and a
number of steps; see `solver.search.stretches`. The solver that runs this is known to
`solver.search.highs` alone.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from models.limits import Limit, RatioLimit
from models.ratios import RATIOS, Masses
from solver.search.options import LineOptions
from solver.search.row import Coefficients, Row
from solver.search.stretches import Stretch, stretches

MANY_OPTIONS = 3_000
OPTIONS_PER_STRETCH = 4
"""From here on branch and bound over steps is quicker than over options, or any list of them."""


@dataclass(frozen=True, eq=False)
class Program:
    """Minimise Σ costs y + Σ slacks over one option a line, subject to use y ≤ room (+ slack)."""

    costs: Coefficients
    use: Coefficients  # of each line rows × options
    room: np.ndarray
    names: tuple[str, ...]  # of the rows; a limit on the chance has several
    slacks: tuple[str | None, ...]

    @classmethod
    def of(cls, costs: Coefficients, rows: Sequence[Row]) -> "Program":
        """Return the program of these rows."""
        nothing = tuple(np.zeros((0, len(line))) for line in costs)
        return cls(costs, nothing, np.zeros(0), (), ()).with_rows(*rows)

    @property
    def rows(self) -> tuple[Row, ...]:
        """The rows one by one."""
        numbers = zip(self.names, self.room, self.slacks, strict=True)
        return tuple(
            Row(name, tuple(line[i] for line in self.use), float(room), slack)
            for i, (name, room, slack) in enumerate(numbers)
        )

    @cached_property
    def stretches(self) -> tuple[tuple[Stretch, ...], ...]:
        """Each line's options as stretches of equal steps in the cost and every row.

        Every option alone where there are few, or few in equal steps.
        """
        counts = [len(costs) for costs in self.costs]
        if sum(counts) > MANY_OPTIONS:
            found = tuple(self._stretches(k) for k in range(len(counts)))
            if OPTIONS_PER_STRETCH * sum(map(len, found)) <= sum(counts):
                return found
        return tuple(tuple(Stretch(j, 0) for j in range(count)) for count in counts)

    @property
    def is_stepped(self) -> bool:
        """Whether some line's options are taken in steps."""
        many = sum(len(costs) for costs in self.costs) > MANY_OPTIONS
        return many and any(stretch.steps for line in self.stretches for stretch in line)

    def _stretches(self, k: int) -> tuple[Stretch, ...]:
        return tuple(stretches(np.vstack([self.costs[k][None], self.use[k]])))

    def with_rows(self, *rows: Row) -> "Program":
        """Return the program with more rows."""
        if not rows:
            return self
        return Program(
            self.costs,
            tuple(
                np.vstack([used, *(row.coefficients[k][None] for row in rows)])
                for k, used in enumerate(self.use)
            ),
            np.concatenate([self.room, [row.at_most for row in rows]]),
            (*self.names, *(row.name for row in rows)),
            (*self.slacks, *(row.slack for row in rows)),
        )

    def costless(self) -> "Program":
        """Return the program in which any answer will do."""
        return replace(self, costs=tuple(0 * costs for costs in self.costs))

    def minimising(self, costs: Coefficients) -> "Program":
        """Return the program with another objective."""
        return replace(self, costs=costs)


def build(options: Sequence[LineOptions], limits: Sequence[Limit]) -> Program:
    """Return the program for `options` in which every ratio limit of `limits` holds."""
    ratio_limits = [limit for limit in limits if isinstance(limit, RatioLimit)]
    weights = _ratio_weights(ratio_limits, options)
    program = Program(
        tuple(each.cost for each in options),
        tuple(weights @ np.array(each.masses) for each in options),
        np.zeros(len(ratio_limits)),
        tuple(limit.row_name for limit in ratio_limits),
        (None,) * len(ratio_limits),
    )
    rows = presence_rows(ratio_limits, options)
    return program.with_rows(*rows)


def _ratio_weights(limits: Sequence[RatioLimit], options: Sequence[LineOptions]) -> np.ndarray:
    """Return what a gram of each sum uses of each limit's row, rows × sums.

    (max)  Σ (n − v d) y / s ≤ 0,   (min)  Σ (v d − n) y / s ≤ 0
    """
    weights = np.zeros((len(limits), len(Masses._fields)))
    staying = masses_at([0] * len(options), options)
    for row, limit in zip(weights, limits, strict=True):
        sign = 1.0 if limit.side == "max" else -1.0
        numerator, denominator = RATIOS[limit.ratio]
        value = float(limit.value)
        row[:] = sign * (numerator(_EACH_SUM) - value * denominator(_EACH_SUM))
        row /= max(value * denominator(staying), staying.flour / 100)
    return weights


_EACH_SUM = Masses(*np.eye(len(Masses._fields)))
"""One gram of each sum in turn."""


def ratio_row(limit: RatioLimit, options: Sequence[LineOptions], slack: str | None = None) -> Row:
    """Return the row of one limit, with a slack where it may give way."""
    (weights,) = _ratio_weights([limit], options)
    return Row(
        limit.row_name, tuple(weights @ np.array(each.masses) for each in options), 0.0, slack
    )


def ratio_excess(ratio: Any, value: float, options: Sequence[LineOptions]) -> Coefficients:
    """Return n − value × d for every option: what it adds to the ratio's excess over `value`."""
    numerator, denominator = RATIOS[ratio]
    return tuple(numerator(c.masses) - value * denominator(c.masses) for c in options)


def presence_rows(limits: Sequence[RatioLimit], options: Sequence[LineOptions]) -> list[Row]:
    """(flour), (fat)  Σ_{kj: mass > 0} y ≥ 1, only where the mass could vanish."""
    rows = _presence("some_flour", options, lambda masses: masses.flour)
    divided_by = {_sums_in(RATIOS[limit.ratio].denominator): limit.ratio for limit in limits}
    for name, ratio in divided_by.items():
        if name != "flour":
            rows += _presence(f"some_{name}", options, RATIOS[ratio].denominator)
    return rows


def _sums_in(of_ratio: Callable[[Masses], Any]) -> str:
    """Return which sums a numerator or denominator is made of: "fat"."""
    used = zip(Masses._fields, of_ratio(_EACH_SUM), strict=True)
    return "_or_".join(name for name, share in used if share)


def cost_row(costs: Coefficients, at_most: float) -> Row:
    """Σ c y ≤ at_most, scaled so that the solver's tolerance is a billionth of a whole change."""
    return Row("cost", tuple(COST_SCALE * c for c in costs), COST_SCALE * at_most)


def other_than_row(picks: Sequence[int], options: Sequence[LineOptions]) -> Row:
    """Σ_k y_k,pick(k) ≤ |K| − 1: any answer but this one."""
    taken = tuple(np.eye(1, len(each), pick)[0] for each, pick in zip(options, picks, strict=True))
    return Row("other_than", taken, len(options) - 1.0)


COST_SCALE = 1000.0
"""The solver's absolute tolerances are about 1e-6; costs are of order 0.1 and must tie to 1e-9."""


def masses_at(picks: Sequence[int], options: Sequence[LineOptions]) -> Masses:
    """Return the sums of the masses of the picked options, as floats."""
    picked = [[column[p] for column in c.masses] for c, p in zip(options, picks, strict=True)]
    return Masses(*np.sum(picked, axis=0))


def _presence(
    name: str, options: Sequence[LineOptions], mass: Callable[[Masses], Any]
) -> list[Row]:
    present = tuple((mass(each.masses) > 0).astype(float) for each in options)
    if sum(p.min() for p in present) >= 1:
        return []
    return [Row(name, tuple(-p for p in present), -1.0)]
