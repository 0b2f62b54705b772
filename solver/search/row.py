"""A row of the program: a weighted sum over the picked options, held below a number."""

from dataclasses import dataclass

import numpy as np

Coefficients = tuple[np.ndarray, ...]
"""One array for each line, one number for each of its options."""


@dataclass(frozen=True, eq=False)
class Row:
    """Σ_kj coefficient_kj y_kj ≤ at_most, or, with a slack variable's name, ≤ at_most + slack."""

    name: str
    coefficients: Coefficients
    at_most: float
    slack: str | None = None
