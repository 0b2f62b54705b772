"""What an operator's monitoring asks of the service: requests, solves, their time, and its size.

In the Prometheus text format. Routes are told by their templates, so that nothing of a request is
repeated here and no caller can make the list grow. Over several processes it is
`service.http.shared_metrics`.
"""

from collections.abc import Iterable

from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    Metric,
    ProcessCollector,
    disable_created_metrics,
)
from prometheus_client.exposition import CONTENT_TYPE_LATEST, generate_latest

from models.value import Value
from service.http.solve_pool import SolvePool

MEDIA_TYPE = CONTENT_TYPE_LATEST

METHODS = {"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"}
"""Others are counted as one."""

_SECONDS = (0.005, 0.02, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)
"""From a lookup to a solve's deadline and an export."""


class Metrics:
    """The counters of one process."""

    def __init__(self, pool: SolvePool) -> None:
        """Begin at nought; the queue is `pool`'s."""
        disable_created_metrics()
        self.registry = CollectorRegistry()
        ProcessCollector(registry=self.registry)
        self._requests = self._counter(
            "requests", "Requests answered.", "method", "route", "status"
        )
        self._seconds = self._times(
            "request_seconds", "Time from a request to the end of its answer.", "route"
        )
        self._solves = self._counter(
            "solves", "Questions answered, by what came of them.", "question", "outcome"
        )
        self._to_proof = self._times(
            "proof_seconds",
            "Time from a question to an answer that is proved, waiting included.",
            "question",
        )
        self._gauge("solves_waiting", "Questions in the queue.").set_function(pool.queued)
        self._gauge("solves_at_work", "Questions being answered.").set_function(pool.at_work)

    def count(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count one request; `route` is a template, `status` 0 where no answer was sent."""
        known = method if method in METHODS else "other"
        self._requests.labels(known, route, str(status)).inc()
        self._seconds.labels(route).observe(seconds)

    def count_solve(self, question: str, answer: Value, seconds: float) -> None:
        """Count one answer to the `question` of that name, `seconds` after it was asked."""
        outcome = outcome_of(answer)
        self._solves.labels(question, outcome).inc()
        if outcome != "unfinished":
            self._to_proof.labels(question).observe(seconds)

    def collect(self) -> Iterable[Metric]:
        """Yield all that was counted."""
        return self.registry.collect()

    def text(self) -> bytes:
        """Return all that was counted, as Prometheus reads it."""
        return generate_latest(self.registry)

    def _counter(self, name: str, told: str, *labels: str) -> Counter:
        return Counter(f"formhold_{name}", told, labels, registry=self.registry)

    def _times(self, name: str, told: str, *labels: str) -> Histogram:
        registry = self.registry
        return Histogram(f"formhold_{name}", told, labels, buckets=_SECONDS, registry=registry)

    def _gauge(self, name: str, told: str) -> Gauge:
        return Gauge(f"formhold_{name}", told, registry=self.registry)


def outcome_of(answer: Value) -> str:
    """Return what came of a question: a brief's outcome, or whether the answer is complete."""
    outcome = getattr(answer, "outcome", None)
    if isinstance(outcome, str):
        return outcome
    ladder = getattr(answer, "ladder", answer)
    return "answered" if getattr(ladder, "complete", True) else "unfinished"
