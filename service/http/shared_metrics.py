"""Metrics over every process of the service: whichever is asked answers for all of them.

Each keeps its own counters and every few seconds adds what they grew by to sums in the database;
what is told of a process itself (memory, its queue) is summed over those that are alive. What a
killed process had not yet told is lost: a few seconds' counts.
"""

import json
import logging
import secrets
import threading
import time
from collections.abc import Iterable, Iterator

from prometheus_client import CollectorRegistry, Gauge, Metric
from prometheus_client.exposition import generate_latest

from service.http.metrics import Metrics
from service.store.database import Database, DatabaseUnusable
from service.store.measurements import add_to_sums, forget_silent, tell_state, totals

TELL_EVERY_SECONDS = 2.0
SILENT_AFTER_SECONDS = 15
"""A process that told nothing for so long is not counted among those that are alive."""

_OWN_ALONE = {"process_start_time_seconds", "process_max_fds"}
"""Of no meaning as a sum."""

log = logging.getLogger("formhold.service")


class SharedMetrics:
    """Tells the database what this process counted, and answers with what all did."""

    def __init__(self, metrics: Metrics, database: Database) -> None:
        """Make ready; nothing is told before `start`."""
        self._metrics, self._database = metrics, database
        self._process = secrets.token_hex(8)
        Gauge("formhold_processes", "Processes that answer.", registry=metrics.registry).set(1)
        self._told: dict[str, float] = {}
        self._lock, self._closing = threading.Lock(), threading.Event()
        self._thread = threading.Thread(target=self._keep_telling, name="metrics")

    def start(self) -> None:
        """Tell every few seconds from now on."""
        self._thread.start()

    def close(self) -> None:
        """Tell the last of it; a second time does nothing."""
        self._closing.set()
        if self._thread.ident is not None:
            self._thread.join()

    def text(self) -> bytes:
        """Return what all processes counted, as Prometheus reads it; raise DatabaseUnusable."""
        self._tell()
        with self._database.reading() as connection:
            found = totals(connection, since=int(time.time()) - SILENT_AFTER_SECONDS)
        registry = CollectorRegistry()
        registry.register(_Found(list(self._metrics.collect()), found))
        return generate_latest(registry)

    def _keep_telling(self) -> None:
        while True:
            is_last = self._closing.wait(TELL_EVERY_SECONDS)
            try:
                self._tell()
            except DatabaseUnusable as error:
                log.warning("what was counted could not be told: %s", error)
            if is_last:
                return

    def _tell(self) -> None:
        """Tell what grew since it was last told, and how the process is."""
        with self._lock:
            sums, state = _series(self._metrics.collect())
            grown = {name: value - self._told.get(name, 0) for name, value in sums.items()}
            now = int(time.time())
            with self._database.counting() as connection:
                add_to_sums(connection, {name: by for name, by in grown.items() if by}, now)
                tell_state(connection, self._process, state, now)
                forget_silent(connection, now - 10 * SILENT_AFTER_SECONDS)
            self._told = sums


class _Found:
    """Sums of the database in the families of this process's own metrics."""

    def __init__(self, own: Iterable[Metric], found: dict[str, float]) -> None:
        self._own, self._found = own, found

    def collect(self) -> Iterator[Metric]:
        samples: dict[str, list[tuple[str, dict[str, str], float]]] = {}
        for series, value in self._found.items():
            family, name, labels = json.loads(series)
            samples.setdefault(family, []).append((name, labels, value))
        for metric in self._own:
            if metric.name in _OWN_ALONE:
                continue
            whole = Metric(metric.name, metric.documentation, metric.type)
            for name, labels, value in samples.get(metric.name, []):
                whole.add_sample(name, labels, value)
            yield whole


def _series(own: Iterable[Metric]) -> tuple[dict[str, float], dict[str, float]]:
    """Return the sums of a process and its state, by series."""
    sums: dict[str, float] = {}
    state: dict[str, float] = {}
    for metric in own:
        is_state = metric.type == "gauge" or metric.name.startswith("process_")
        for sample in metric.samples:
            series = json.dumps([metric.name, sample.name, sample.labels])
            (state if is_state else sums)[series] = sample.value
    return sums, state
