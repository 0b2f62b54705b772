"""Chugh et al. 2013, Int. J. Food Sci. 576153 (CC BY): what widens a biscuit, refitted.

A central composite design of 30 bakes over sugar, fat, ammonium bicarbonate and water. The columns
x1 to x4 are taken in the order in which the abstract names them, which is an inference.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from solver.mechanics.prior import PRIORS

TABLE = Path(__file__).parent / "data" / "chugh2013.csv"
STEPS = {"sugar": 3.0, "fat": 3.5, "ammonia": 0.5, "water": 1.0}
"""Grams for 100 g of flour in one coded step."""


class Fit:
    """ln diameter as a linear function of grams for 100 g of flour, by least squares."""

    def __init__(self):
        with TABLE.open(encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        self.bakes = len(rows)
        ln_diameter = np.log([float(row["diameter_cm"]) for row in rows])
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


def test_the_priors_have_these_signs(fit):
    """What widened these biscuits raises fluidity in the priors, each per cent of ammonia most."""
    mean = PRIORS.mean
    powder_for_ammonia = 4 * 2.1  # by gas; see the strengths in test_leavening_chemistry
    ours = {
        "sugar": mean.fluidity_per_sugar,
        "fat": mean.fluidity_per_fat,
        "ammonia": mean.fluidity_per_powder * powder_for_ammonia,
    }
    assert all(slope > 0 and fit.slopes[factor] > 0 for factor, slope in ours.items())
    assert max(ours, key=ours.get) == max(ours, key=fit.slopes.get) == "ammonia"
