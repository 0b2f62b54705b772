"""The crack limit where no bound is known yet: rows that lean on the chance at one dough.

The chance is not convex, so such a row is a guide and no proof: it holds near the dough it touches.
"""

from collections.abc import Sequence

import numpy as np

from models.formula import Formula
from models.ingredient import Ingredient
from models.limits import CrackLimit
from solver.mechanics.belief import Draws
from solver.mechanics.chance import chance_percents, law_given, untried_law
from solver.mechanics.dough import Makeup, makeup_of, makeup_per_gram
from solver.search.options import LineOptions
from solver.search.row import Row
from solver.search.sheet_chances import ChanceLimit


def makeup_arrays(options: Sequence[LineOptions]) -> tuple[np.ndarray, ...]:
    """Return what every option of every line brings: `Makeup`'s columns by options, in grams."""
    return tuple(each.weighted(_per_gram) for each in options)


def _per_gram(ingredient: Ingredient) -> np.ndarray:
    return np.array(makeup_per_gram(ingredient))


def chance_limit(
    limit: CrackLimit, options: Sequence[LineOptions], given: Draws | None
) -> ChanceLimit:
    """Return the limit as the search takes it: what every option brings, and the sheet's law."""
    law = law_given(limit.target, given)
    return ChanceLimit(makeup_arrays(options), law, float(limit.percent) / 100)


def tangent_at(limit: CrackLimit, options: Sequence[LineOptions], formula: Formula) -> Row:
    """Return the row that touches the limit at `formula`: S h(x0) + ∇h · (m − x0 S) ≤ P S."""
    law, here = untried_law(limit.target), np.array(makeup_of(formula))
    steps = 1e-4 * here[0] * np.eye(len(here))
    around = chance_percents(law, Makeup(*(here[:, None] + steps)))
    value = float(chance_percents(law, Makeup(*here))[0])
    gradient = (around - value) / (1e-4 * here[0])
    brought = makeup_arrays(options)
    level = value - float(gradient @ here) - float(limit.percent)
    scale = 100.0
    rows = tuple((gradient @ each + level * each[0] / here[0]) / scale for each in brought)
    return Row(limit.name, rows, 0.0)
