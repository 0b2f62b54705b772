"""Chugh et al. 2013, Int. J. Food Sci. 576153 (CC BY): what widens a biscuit, refitted.

A central composite design of 30 bakes over sugar, fat, ammonium bicarbonate and water. The columns
x1 to x4 are taken in the order in which the abstract names them, which is an inference.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.mechanics.belief import middle
from solver.mechanics.dough import AMMONIA_GAS

TABLE = Path(__file__).parent / "data" / "chugh2013.csv"
STEPS = {"sugar": 3.0, "fat": 3.5, "ammonia": 0.5, "water": 1.0}
"""Grams for 100 g of flour in one coded step."""


class Fit:
    """The logarithm of a measure as a linear function of grams for 100 g of flour, by least
    squares: powers of the diameter and of the thickness."""

    def __init__(self, diameters=1, thicknesses=0):
        with TABLE.open(encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        self.bakes = len(rows)
        ln_diameter = diameters * np.log([float(row["diameter_cm"]) for row in rows])
        ln_diameter += thicknesses * np.log([float(row["thickness_cm"]) for row in rows])
        coded = np.array([[float(row[f"x{i}"]) for i in (1, 2, 3, 4)] for row in rows])
        design = np.c_[np.ones(len(rows)), coded * list(STEPS.values())]
        inverse = np.linalg.inv(design.T @ design)
        coefficients = inverse @ design.T @ ln_diameter
        residual = ln_diameter - design @ coefficients
        left_out = residual / (1 - np.einsum("ij,jk,ik->i", design, inverse, design))
        spread = np.sum((ln_diameter - ln_diameter.mean()) ** 2)
        variance = residual @ residual / (len(rows) - design.shape[1])
        self.slopes = dict(zip(STEPS, coefficients[1:], strict=True))
        self.errors = dict(zip(STEPS, np.sqrt(variance * np.diag(inverse))[1:], strict=True))
        self.r_squared = 1 - residual @ residual / spread
        self.r_squared_left_out = 1 - left_out @ left_out / spread


@pytest.fixture(scope="module")
def fit():
    return Fit()


@pytest.mark.parametrize(
    ("factor", "slope", "shown_to"),
    [("sugar", 0.0070, 4), ("ammonia", 0.048, 3), ("fat", 0.0041, 4)],
)
def test_what_widens_a_biscuit(fit, factor, slope, shown_to):
    """ln diameter grows by 0.0070 a per cent of sugar, 0.048 of NH4HCO3 and 0.0041 of fat."""
    assert round(fit.slopes[factor], shown_to) == slope
    assert fit.slopes[factor] > 2 * fit.errors[factor]


def test_water_does_nothing(fit):
    """One or two per cent of water change the diameter by less than the error of the fit."""
    assert abs(fit.slopes["water"]) < fit.errors["water"]


def test_two_thirds_are_explained(fit):
    """The four slopes explain 0.66 of the scatter of 30 bakes, and 0.47 of bakes left out."""
    assert fit.bakes == 30
    assert round(fit.r_squared, 2) == 0.66
    assert round(fit.r_squared_left_out, 2) == 0.47


def test_thickness_and_volume_refitted():
    """Thickness rises with ammonia and water; D²T, as good as volume, with all but one."""
    thickness, volume = Fit(0, 1), Fit(2, 1)
    assert thickness.slopes["water"] > 2 * thickness.errors["water"]
    assert volume.slopes["ammonia"] > 2 * volume.errors["ammonia"]
    for factor in STEPS:
        both = 2 * Fit().slopes[factor] + thickness.slopes[factor]
        assert volume.slopes[factor] == pytest.approx(both, abs=1e-9)


def test_the_belief_lies_beside_these_slopes(fit):
    """What widened these biscuits makes doughs flow in the belief: sugar, fat and gas, gas most;
    of water the belief says more than these bakes show, as the page of limits admits."""
    belief = middle()
    gas_per_ammonia = AMMONIA_GAS  # g CO2 to the gram
    ours = {
        "sugar": belief.per_sugar,
        "fat": belief.per_fat,
        "ammonia": belief.per_gas * gas_per_ammonia,
        "water": belief.per_water,
    }
    assert all(slope > 0 for slope in ours.values())
    widening = {factor: ours[factor] for factor in ("sugar", "fat", "ammonia")}
    assert max(widening, key=widening.get) == max(fit.slopes, key=fit.slopes.get) == "ammonia"
    assert ours["sugar"] > ours["fat"] and fit.slopes["sugar"] > fit.slopes["fat"]
