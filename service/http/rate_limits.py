"""Rate limits: how often one caller may ask within a minute; nobody takes the service from others.

A caller is known by a good key, else by its address. One process counts for itself; several count
together, in the database. Who bears a good key is told by `service.http.callers`.
"""

import ipaddress
import math
import time
from typing import Any, cast

from limits import RateLimitItem, RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import SlidingWindowCounterRateLimiter

from service.problems import TOO_MANY_REQUESTS, Refused
from service.settings import Settings
from service.store import request_counts
from service.store.database import Database, DatabaseUnusable

_PREFIX_OF_ONE_CALLER = 64
"""Bits of an IPv6 address that one household has to itself; the rest it may choose at will."""

_SHARES = 60
"""A process takes this part of a limit from the database at once, and hands it out itself: at 1,200
a minute a caller is asked about there once a second, and is refused at most 20 requests too early
for each further process."""


class RateLimits:
    """Counts of who asked how often."""

    def __init__(self, settings: Settings, shared: Database | None = None) -> None:
        """Begin to count; in the database that is `shared` with other processes, if there are."""
        self._with_key = _per_minute(settings.most_with_key)
        self._without = _per_minute(settings.most_without_key)
        # Counters, not lists of moments: those stay in memory for every address that ever asked.
        self._alone = SlidingWindowCounterRateLimiter(MemoryStorage())
        self._together = None if shared is None else _Together(shared)

    @property
    def may_take_long(self) -> bool:
        """Whether to count may be to wait for the database."""
        return self._together is not None and (self._with_key or self._without) is not None

    def count(self, holder: str | None, address: str) -> None:
        """Count one more request; raise Refused where it is one too many."""
        limit = self._without if holder is None else self._with_key
        who = neighbourhood(address) if holder is None else holder
        if limit is None:
            return
        free_at = self._count(limit, who)
        if free_at is None:
            return
        seconds = max(1, math.ceil(free_at - time.time()))
        raise Refused(
            TOO_MANY_REQUESTS,
            f"No more than {limit.amount} a minute are answered; please wait {seconds} s.",
            headers={"Retry-After": str(seconds)},
        )

    def _count(self, limit: RateLimitItem, who: str) -> float | None:
        """Return None for a request that was counted, else when the next one may be."""
        if self._together is not None:
            try:
                return self._together.count(limit, who)
            except DatabaseUnusable:
                pass  # whoever needs the database hears of it; the others are counted here
        if self._alone.hit(limit, who):
            return None
        return self._alone.get_window_stats(limit, who).reset_time


class _Together:
    """Requests counted with other processes, a share of a limit at a time."""

    def __init__(self, database: Database) -> None:
        self._windows = _SharedLimiter(database)
        self._minute = 0
        self._shares: dict[str, int] = {}

    def count(self, limit: RateLimitItem, who: str) -> float | None:
        """Return None for a request that was counted, else when the next one may be."""
        minute = int(time.time() / limit.get_expiry())
        if minute != self._minute:  # what was not handed out in its minute lapses
            self._minute, self._shares = minute, {}
        key = limit.key_for(who)
        left = self._shares.get(key, 0)
        if left > 0:
            self._shares[key] = left - 1
            return None
        share = max(1, limit.amount // _SHARES)
        for cost in sorted({share, 1}, reverse=True):
            if self._windows.hit(limit, who, cost=cost):
                self._shares[key] = cost - 1
                return None
        return self._windows.get_window_stats(limit, who).reset_time


class _SharedLimiter(SlidingWindowCounterRateLimiter):
    """The limiter that one process has in memory, on windows in the database."""

    def __init__(self, database: Database) -> None:
        # The library would have us implement every kind of counting; this kind asks two things.
        self.storage = cast(Any, SharedWindows(database))


class SharedWindows:
    """Sliding windows in a database, as the limiter asks for them."""

    def __init__(self, database: Database) -> None:
        """Count in `database`."""
        self._database = database
        self._cleared = 0

    def acquire_sliding_window_entry(
        self, key: str, limit: int, expiry: int, amount: int = 1
    ) -> bool:
        """Count `amount` requests of `key`, at most `limit` in any `expiry` seconds."""
        now = time.time()
        window = int(now / expiry)
        with self._database.counting() as connection:
            before = request_counts.taken(connection, key, window - 1)
            still = math.floor(before * _part_left(now, expiry))
            if self._cleared != window:
                request_counts.forget_before(connection, window - 1)
                self._cleared = window
            return request_counts.take(connection, key, window, amount, most=limit - still)

    def get_sliding_window(self, key: str, expiry: int) -> tuple[int, float, int, float]:
        """Return the counts of the last window and of this one, each with its seconds to live."""
        now = time.time()
        window, left = int(now / expiry), expiry * _part_left(now, expiry)
        with self._database.reading() as connection:
            before = request_counts.taken(connection, key, window - 1)
            current = request_counts.taken(connection, key, window)
        return before, left if before else 0.0, current, left + expiry


def _part_left(now: float, expiry: int) -> float:
    """Return how much of this window is still to come."""
    return 1 - now / expiry % 1


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
