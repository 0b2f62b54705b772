"""Bars: each ratio before and after against its window, as places along a short rule."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from models.outcome import BoundName, Outcome, WindowBound
from models.ratios import RATIOS, RatioName, Ratios

WIDTH = 200.0
"""Of the rule, in the drawing's own units."""


class Bar(NamedTuple):
    """One ratio: its values, its window, and where they lie along the rule (0 to `WIDTH`)."""

    ratio: RatioName
    before: float | None
    after: float | None
    bound: WindowBound | None
    before_at: float | None
    after_at: float | None
    window_at: tuple[float, float] | None


def bars(outcome: Outcome, after: Ratios | None) -> list[Bar]:
    """Return a bar for each ratio, bounded ones first; `after` is of what is baked."""
    ordered = sorted(RATIOS, key=lambda name: name not in outcome.window)
    return [_bar(name, outcome.ratios.before, after, outcome.window) for name in ordered]


def _bar(
    name: RatioName,
    was: Ratios,
    now: Ratios | None,
    window: Mapping[BoundName, WindowBound],
) -> Bar:
    before, bound = getattr(was, name), window.get(name)
    after = getattr(now, name, None)
    shown = [*_known(before, after), *(_known(bound.min, bound.max) if bound else ())]
    least, most = _ends(shown)

    def at(value: float | None) -> float | None:
        return None if value is None else round(WIDTH * (value - least) / (most - least), 1)

    band = None
    if bound:
        low, high = at(bound.min), at(bound.max)
        band = (0.0 if low is None else low, WIDTH if high is None else high)
    return Bar(name, before, after, bound, at(before), at(after), band)


def _known(*values: float | None) -> Iterator[float]:
    return (value for value in values if value is not None)


def _ends(shown: list[float]) -> tuple[float, float]:
    """Return what the rule begins and ends with: all that is shown, and a third more around it."""
    low, high = min(shown, default=0.0), max(shown, default=1.0)
    room = max(high - low, 0.1 * high, 1e-6) / 3
    return max(0.0, low - room), high + room
