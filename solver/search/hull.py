"""The hull: which options of one line a linear price can prefer."""

import numpy as np


def hull(substances: np.ndarray, prices: np.ndarray, options: np.ndarray) -> np.ndarray:
    """Return the options that any linear sum of substances less price can prefer.

    Where all substances lie on one line through nothing, those on the lower hull of price over
    grams; else all.
    """
    weight = np.abs(substances).sum(axis=0)
    heaviest = int(weight.argmax())
    if len(options) < 4 or not weight[heaviest]:
        cheapest = int(prices.argmin())
        return options if weight[heaviest] else options[cheapest : cheapest + 1]
    share = weight / weight[heaviest]
    if (
        np.abs(substances - np.outer(substances[:, heaviest], share)).max()
        > 1e-9 * weight[heaviest]
    ):
        return options
    kept: list[int] = []
    for j in np.lexsort((prices, share)).tolist():
        if kept and share[j] <= share[kept[-1]]:
            continue
        while len(kept) > 1 and (
            (prices[kept[-1]] - prices[kept[-2]]) * (share[j] - share[kept[-2]])
            >= (prices[j] - prices[kept[-2]]) * (share[kept[-1]] - share[kept[-2]])
        ):
            kept.pop()
        kept.append(j)
    return options[kept]
