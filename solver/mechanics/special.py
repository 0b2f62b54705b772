"""Functions that SciPy knows, loaded when one is first called.

Loading SciPy takes longer than most questions about a recipe, and those without a form need none.
"""

from typing import Any


def expit(x: Any) -> Any:
    """Return 1 / (1 + e^−x)."""
    from scipy import special

    return special.expit(x)


def logit(x: Any) -> Any:
    """Return ln (x / (1 − x))."""
    from scipy import special

    return special.logit(x)


def logsumexp(x: Any) -> Any:
    """Return ln Σ e^x."""
    from scipy import special

    return special.logsumexp(x)


def ndtr(x: Any) -> Any:
    """Return the share of a standard normal below x."""
    from scipy import special

    return special.ndtr(x)


def ndtri(x: Any) -> Any:
    """Return the standard normal score below which a share x lies."""
    from scipy import special

    return special.ndtri(x)


def ive(order: int, x: Any) -> Any:
    """Return e^−x I(x), the modified Bessel function of an order."""
    from scipy import special

    return special.ive(order, x)
