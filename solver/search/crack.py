"""The crack limit as the search takes it: what every option brings, and the law of the sheet.

What is searched with it is the business of `solver.search.chance_search`.
"""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from models.ingredient import Ingredient
from models.limits import CrackLimit
from solver.mechanics.belief import Draws
from solver.mechanics.chance import law_by
from solver.mechanics.dough import substances_per_gram
from solver.search.options import LineOptions
from solver.search.sheet_chances import ChanceLimit


def substances_by_option(options: Sequence[LineOptions]) -> tuple[np.ndarray, ...]:
    """Return what every option of every line brings: `Substances` by options, in grams."""
    return tuple(each.weighted(_per_gram) for each in options)


@lru_cache(maxsize=4096)
def _per_gram(ingredient: Ingredient) -> np.ndarray:
    return np.array(substances_per_gram(ingredient))


def chance_limit(
    limit: CrackLimit, options: Sequence[LineOptions], draws: Draws | None
) -> ChanceLimit:
    """Return the limit over these options, by the draws of a round test where there was one."""
    law = law_by(limit.target, draws)
    return ChanceLimit(substances_by_option(options), law, float(limit.percent) / 100)
