"""Pieces of one batch are alike: the angle at which cakes of one mixing break.

`cake.csv` is the data of F. E. Cook (1938), Chocolate cake: I. Optimum baking temperature (M.Sc.
thesis, Iowa State College), in Cochran & Cox, Experimental Designs (1957), as the data set `cake`
of the R package lme4 carries it: 3 recipes, 15 mixings each, baked in 6 parts at 6 temperatures.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

TABLE = Path(__file__).parent / "data" / "cake.csv"


def test_batches_differ_more_than_pieces():
    """The logarithm of the angle scatters by 0.186 from mixing to mixing and by 0.139 within one,
    a correlation of 0.64, by the analysis of variance."""
    with TABLE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    angles = np.full((3, 15, 6), np.nan)
    temperatures = sorted({int(row["temperature"]) for row in rows})
    for row in rows:
        at = ("ABC".index(row["recipe"]), int(row["replicate"]) - 1)
        angles[at][temperatures.index(int(row["temperature"]))] = float(row["angle"])
    logs = np.log(angles)
    residuals = logs - logs.mean(axis=1, keepdims=True)
    batches = residuals.mean(axis=2)
    within = ((residuals - batches[..., None]) ** 2).sum() / (3 * 14 * 5)
    between = ((6 * batches**2).sum() / (3 * 14) - within) / 6
    assert np.sqrt(between) == pytest.approx(0.186, abs=0.002)
    assert np.sqrt(within) == pytest.approx(0.139, abs=0.002)
    assert between / (between + within) == pytest.approx(0.64, abs=0.01)
