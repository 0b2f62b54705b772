"""What an operator's monitoring asks of the service: requests, their time, and the process's size.

Counted in each process, in the Prometheus text format. Routes are told by their templates, so that
nothing of a request is repeated here and no caller can make the list grow.
"""

from prometheus_client import CollectorRegistry, Counter, Histogram, ProcessCollector
from prometheus_client.exposition import CONTENT_TYPE_LATEST, generate_latest

MEDIA_TYPE = CONTENT_TYPE_LATEST

METHODS = {"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"}
"""Others are counted as one."""

_SECONDS = (0.005, 0.02, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)
"""From a lookup to a solve's deadline and an export."""


class Metrics:
    """The counters of one service."""

    def __init__(self) -> None:
        """Begin at nought."""
        self._registry = CollectorRegistry()
        ProcessCollector(registry=self._registry)
        self._requests = Counter(
            "formhold_requests",
            "Requests answered.",
            ("method", "route", "status"),
            registry=self._registry,
        )
        self._seconds = Histogram(
            "formhold_request_seconds",
            "Time from a request to the end of its answer.",
            ("route",),
            buckets=_SECONDS,
            registry=self._registry,
        )

    def count(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count one request; `route` is a template, `status` 0 where no answer was sent."""
        known = method if method in METHODS else "other"
        self._requests.labels(known, route, str(status)).inc()
        self._seconds.labels(route).observe(seconds)

    def text(self) -> bytes:
        """Return all that was counted, as Prometheus reads it."""
        return generate_latest(self._registry)
