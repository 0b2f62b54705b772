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
    order = np.lexsort((prices, share))
    kept: list[tuple[float, float, int]] = []
    for x, y, j in zip(share[order].tolist(), prices[order].tolist(), order.tolist(), strict=True):
        if kept and x <= kept[-1][0]:
            continue
        while len(kept) > 1:
            (x0, y0, _), (x1, y1, _) = kept[-2:]
            if (y1 - y0) * (x - x0) < (y - y0) * (x1 - x0):
                break
            kept.pop()
        kept.append((x, y, j))
    return options[[j for _, _, j in kept]]
