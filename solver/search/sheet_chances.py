"""What the chance of a crack can be over many doughs at once: bounds, and rows for the program.

For each draw of the belief the crack's log odds z are a convex function of percentages of the
solids, but for two bends: the gas that soda and acid make (a smallest-of, so a node of the search
holds one case of it) and the gas beyond which no more rises (bounded by its chord). The chance is
the mean of logistic(z), which is not convex. Over a node in which z lies between two numbers the
largest convex function below the logistic is itself up to a point, and from there a straight line;
where z lies high, the straight line between the two. So the mean of these has a tangent anywhere,
and the tangent, times the solids, is a row that every dough of the node within the limit keeps.
How far z can reach is bounded for every draw over all that the node can still afford.

Numbers only: where they come from is `solver.mechanics.chance`, what is searched with them is
`solver.search.chance_search`.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from solver.mechanics.chance import SheetLaw
from solver.search.chance_bounds import (
    RISING_GAS,
    SOLIDS,
    TINY,
    Ranges,
    below_logistic,
    bounds,
    logistic,
    rising_gas,
)

SODA, ACID, POTASH, GAS = 8, 9, 10, 11
"""Columns of the substances; those from 1 to 7 have slopes."""
SLOPED = slice(1, 8)

SODA_BY_HEAT, SODA_BY_ACID, POTASH_BY_ACID = 0.262, 0.524, 0.262
"""Grams of CO2: molar masses of NaHCO3, and of it and K2CO3 in soda's grams with acid."""

MOST_LN = 80.0
"""Nothing flows so much; keeps an exponential finite in single precision."""
LEAST_POWER, LEAST_ROUGH_POWER = 1e-6, 0.02
"""Of the logarithm by which flow stiffens: below, its digits are lost."""


@dataclass(frozen=True, eq=False)
class ChanceLimit:
    """The chance, as a share of one, that may not be passed by the dough of the picked options.

    `substances` has for each line an array of substances × options, in grams.
    """

    substances: tuple[np.ndarray, ...]
    law: SheetLaw
    at_most: float


class GasCase(NamedTuple):
    """One case of how soda and acid meet: gas by column and heat's share, and rows that hold."""

    by_column: np.ndarray  # columns
    by_heat: np.ndarray  # columns, times the share of heat's yield
    rows: np.ndarray  # rows × columns, each ≤ 0 in this case


def gas_cases(substances: np.ndarray, starts: np.ndarray) -> list[GasCase]:
    """Return the cases that some dough of the options can be in."""
    soda, acid, potash = (_unit(column) for column in (SODA, ACID, POTASH))
    other = _unit(GAS)
    less_acid = GasCase(
        other + SODA_BY_ACID * acid, SODA_BY_HEAT * (soda - acid), (acid - soda)[None]
    )
    between = GasCase(
        other + SODA_BY_HEAT * (soda + acid),
        0 * soda,
        np.array([soda - acid, acid - soda - potash]),
    )
    beyond = GasCase(
        other + SODA_BY_ACID * soda + POTASH_BY_ACID * potash,
        0 * soda,
        (soda + potash - acid)[None],
    )
    cases = []
    for case in (less_acid, between, beyond):
        use = case.rows @ substances
        if (np.minimum.reduceat(use, starts, axis=1).sum(axis=1) <= 0).all():
            cases.append(case)
        if (np.maximum.reduceat(use, starts, axis=1).sum(axis=1) <= 0).all():
            return [case]
    return cases


class _Figures(NamedTuple):
    """The law's figures, draws first, at one precision: z = stretch · percents + ..."""

    by_heat: np.ndarray
    flow: np.ndarray
    per_gas: np.ndarray
    stretch: np.ndarray
    per_rise: np.ndarray
    face: np.ndarray
    power: np.ndarray

    def odds(self, percents: np.ndarray) -> np.ndarray:
        """Return z, draws × doughs."""
        soda, acid, potash = (percents[c] for c in (SODA, ACID, POTASH))
        gas = percents[GAS] + np.minimum(
            self.by_heat * (soda - acid) + SODA_BY_ACID * acid,
            np.minimum(SODA_BY_HEAT * (soda + acid), SODA_BY_ACID * soda + POTASH_BY_ACID * potash),
        )
        flow = np.exp(np.minimum(self.flow @ percents + self.per_gas * gas, MOST_LN))
        odds = self.stretch @ percents + self.per_rise * np.minimum(gas, RISING_GAS)
        return np.asarray(odds + self.face * np.log(1 + self.power * flow))


class Sheets:
    """The law over all draws, for doughs of whatever substances."""

    def __init__(self, law: SheetLaw) -> None:
        """Write the law's figures as sums over the substances, per gram of solids."""
        self.law = law
        draws = len(law.strain_slopes)
        self.strain = np.zeros((draws, 12))
        self.strain[:, SOLIDS], self.strain[:, SLOPED] = law.strain, 100 * law.strain_slopes
        self.ln_flow = np.zeros((draws, 12))
        self.ln_flow[:, SOLIDS] = law.ln_q + law.ln_flow
        self.ln_flow[:, SLOPED] = 100 * law.ln_q_slopes

    def gas(self, case: GasCase) -> np.ndarray:
        """Return per cent of gas of every draw, columns per gram of solids."""
        by_draw = case.by_column + np.multiply.outer(self.law.phi, case.by_heat)
        return np.asarray(100 * by_draw)

    def chances(self, substances: np.ndarray, *, roughly: bool = False) -> np.ndarray:
        """Return the mean chance of doughs, columns × doughs; `roughly` in single precision.

        Without solids there is no dough: 1.
        """
        figures = self._rough if roughly else self._exact
        solid = substances[SOLIDS] > 0
        substances = np.where(solid, substances, _unit(SOLIDS)[:, None])
        percents = (100 * substances / substances[SOLIDS]).astype(figures.power.dtype)
        odds = np.clip(figures.odds(percents), -MOST_LN, MOST_LN)
        chances = (1 / (1 + np.exp(-odds))).mean(axis=0, dtype=np.float64)
        return np.where(solid, chances, 1.0)

    @cached_property
    def _exact(self) -> _Figures:
        law = self.law
        stretch = -self.strain / 100
        stretch[:, SOLIDS] += (law.bend + law.per_rise * law.rise) / 100
        power = np.maximum(law.power, LEAST_POWER)
        figures = _Figures(
            SODA_BY_HEAT * law.phi,
            self.ln_flow / 100,
            law.ln_q_per_gas,
            stretch / np.asarray(law.scatter)[:, None],
            law.per_rise * law.rise_per_gas / law.scatter,
            law.face / power / law.scatter,
            power,
        )
        return _Figures(*(f if f.ndim == 2 else f[:, None] for f in map(np.asarray, figures)))

    @cached_property
    def _rough(self) -> _Figures:
        if self._exact.power.min() < LEAST_ROUGH_POWER:
            return self._exact
        return _Figures(*(figure.astype(np.float32) for figure in self._exact))

    def _log_odds(self, ln_flow: np.ndarray, gas: np.ndarray, strain: np.ndarray) -> np.ndarray:
        """z of every draw, gas at most what rises; draws, or draws × doughs."""
        law = self.law
        shape = (-1,) + (1,) * (ln_flow.ndim - 1)
        bend, per_rise, rise, rise_per_gas, face, power, scatter = (
            np.broadcast_to(number, law.phi.shape).reshape(shape)
            for number in (
                law.bend,
                law.per_rise,
                law.rise,
                law.rise_per_gas,
                law.face,
                law.power,
                law.scatter,
            )
        )
        flow = _flow_strain(ln_flow, face, power)
        return np.asarray((bend + per_rise * (rise + rise_per_gas * gas) + flow - strain) / scatter)

    def tangent(
        self, case: GasCase, substances: np.ndarray, ranges: Ranges | None
    ) -> tuple[float, np.ndarray]:
        """Return a chance that no dough of `substances` falls below, and its tangent's columns.

        The chance times the solids is at least columns · substances, for every dough whose figures
        lie within `ranges`; without ranges both are the chance's own, and no bound.
        """
        law, at = self.law, substances / substances[SOLIDS]
        gas_columns = self.gas(case)
        flow_columns = self.ln_flow + law.ln_q_per_gas[:, None] * gas_columns
        ln_flow, gas, strain = flow_columns @ at, gas_columns @ at, self.strain @ at
        rising, per_gas = rising_gas(gas, ranges.gas if ranges else (gas, gas))
        odds = self._log_odds(ln_flow, rising, strain)
        if ranges:
            low = self._log_odds(
                ranges.ln_flow[0], np.minimum(ranges.gas[0], RISING_GAS), ranges.strain[1]
            )
            high = self._log_odds(
                ranges.ln_flow[1], np.minimum(ranges.gas[1], RISING_GAS), ranges.strain[0]
            )
            chance, slope = below_logistic(odds, low, high)
        else:
            chance = logistic(odds)
            slope = chance * (1 - chance)
        slope = slope / law.scatter
        flowing = law.face * logistic(ln_flow + _ln(law.power)) / np.maximum(law.power, TINY)
        by_flow = slope * np.where(
            law.power > TINY, flowing, law.face * np.exp(np.minimum(ln_flow, MOST_LN))
        )
        by_gas = slope * law.per_rise * law.rise_per_gas * per_gas
        columns = by_flow @ flow_columns + by_gas @ gas_columns - slope @ self.strain
        columns = columns / len(slope)
        at_zero = chance.mean() - columns @ at
        columns[SOLIDS] += at_zero
        return float(chance.mean()), columns

    def ranges(
        self,
        case: GasCase,
        substances: np.ndarray,
        reduced: np.ndarray,
        budget: float,
        between: np.ndarray,
    ) -> Ranges:
        """Bound every draw over all doughs of one option a line with Σ reduced ≤ budget.

        `substances` is columns × lines × options, `reduced` lines × options with a 0 in each line.
        `between` are two sums over columns that are at most 0 in those doughs: the first keeps
        them from being too safe, the second from being too risky.
        """
        law = self.law
        gas_columns = self.gas(case)
        flow = self.ln_flow + law.ln_q_per_gas[:, None] * gas_columns
        coldest, hottest = float(law.phi.min()), float(law.phi.max())
        ends = 100 * (case.by_column + np.outer([coldest, hottest], case.by_heat))
        length = np.linalg.norm(law.strain_slopes, axis=1)
        direction = np.zeros(12)
        direction[SLOPED] = law.strain_slopes[0] / max(length[0], TINY)
        alike = np.allclose(np.outer(length, direction[SLOPED]), law.strain_slopes, rtol=1e-9)
        strains = direction[None] if alike else self.strain
        low, high = bounds(np.vstack([ends, strains, flow]), substances, reduced, budget, between)
        share = (law.phi - coldest) / max(hottest - coldest, TINY)
        gas = tuple(b[0] + share * (b[1] - b[0]) for b in (low, high))
        after = 2 + len(strains)
        strain = tuple(
            law.strain + 100 * length * b[2] if alike else b[2:after] for b in (low, high)
        )
        return Ranges((low[after:], high[after:]), (gas[0], gas[1]), (strain[0], strain[1]))


def _unit(column: int) -> np.ndarray:
    unit: np.ndarray = np.eye(12)[column]
    return unit


def _ln(power: np.ndarray) -> np.ndarray:
    return np.asarray(np.log(np.maximum(power, TINY)))


def _flow_strain(ln_flow: np.ndarray, face: np.ndarray, power: np.ndarray) -> np.ndarray:
    """face · ln(1 + power F) / power, and face · F where the power is nought."""
    flow = np.exp(np.minimum(ln_flow, MOST_LN))
    some = np.maximum(power, TINY)
    return np.asarray(np.where(power > TINY, face * np.log1p(some * flow) / some, face * flow))
