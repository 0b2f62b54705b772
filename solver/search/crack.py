"""The crack limit as the search takes it: what every option brings, and the law of the sheet.

What is searched with it is the business of `solver.search.chance_search`.
"""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from models.ingredient import Ingredient
from models.limits import CrackLimit
from solver.mechanics.belief import Draws
from solver.mechanics.chance import law_given
from solver.mechanics.dough import makeup_per_gram
from solver.search.options import LineOptions
from solver.search.sheet_chances import ChanceLimit


def makeup_arrays(options: Sequence[LineOptions]) -> tuple[np.ndarray, ...]:
    """Return what every option of every line brings: `Makeup`'s columns by options, in grams."""
    return tuple(each.weighted(_per_gram) for each in options)


@lru_cache(maxsize=4096)
def _per_gram(ingredient: Ingredient) -> np.ndarray:
    return np.array(makeup_per_gram(ingredient))


def chance_limit(
    limit: CrackLimit, options: Sequence[LineOptions], given: Draws | None
) -> ChanceLimit:
    """Return the limit over these options, by the draws of a round test where there was one."""
    law = law_given(limit.target, given)
    return ChanceLimit(makeup_arrays(options), law, float(limit.percent) / 100)
