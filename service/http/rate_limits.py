"""Rate limits: how often one caller may ask within a minute; nobody takes the service from others.

A caller is known by a good key, else by its address. Each process counts for itself.
Who bears a good key is told by `service.http.callers`.
"""

import ipaddress
import math
import time

from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import SlidingWindowCounterRateLimiter

from service.problems import TOO_MANY_REQUESTS, Refused
from service.settings import Settings

_PREFIX_OF_ONE_CALLER = 64
"""Bits of an IPv6 address that one household has to itself; the rest it may choose at will."""


class RateLimits:
    """Counts of who asked how often."""

    def __init__(self, settings: Settings) -> None:
        """Begin to count."""
        self._with_key = _per_minute(settings.most_with_key)
        self._without = _per_minute(settings.most_without_key)
        # Counters, not lists of moments: those stay in memory for every address that ever asked.
        self._windows = SlidingWindowCounterRateLimiter(MemoryStorage())

    def count(self, holder: str | None, address: str) -> None:
        """Count one more request; raise Refused where it is one too many."""
        limit = self._without if holder is None else self._with_key
        who = neighbourhood(address) if holder is None else holder
        if limit is None or self._windows.hit(limit, who):
            return
        free_at = self._windows.get_window_stats(limit, who).reset_time
        seconds = max(1, math.ceil(free_at - time.time()))
        raise Refused(
            TOO_MANY_REQUESTS,
            f"{limit.amount} requests a minute are answered; please wait {seconds} s.",
            headers={"Retry-After": str(seconds)},
        )


def _per_minute(amount: int) -> RateLimitItemPerMinute | None:
    return RateLimitItemPerMinute(amount) if amount > 0 else None


def neighbourhood(address: str) -> str:
    """Return what an address and those that its household may choose have in common."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    if parsed.version == 4:
        return address
    if parsed.ipv4_mapped is not None:
        return str(parsed.ipv4_mapped)
    return str(ipaddress.ip_network((int(parsed), _PREFIX_OF_ONE_CALLER), strict=False))
