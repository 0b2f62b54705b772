"""Twice and ten times as much as the service can do: what it still answers, how it refuses the
rest, and whether it can be told alive meanwhile.

Prints goodput against its peak. Run with
`.venv/bin/python -m pytest -m benchmark -s tests/benchmarks/test_overload.py`; SECONDS sets how
long each part takes (8 unless told).
"""

import asyncio
import os
import time

import pytest

from tests.benchmarks.serving import Line, Told, keep_asking, load, press, service, written
from tests.generated_recipes import generated_recipe

SECONDS = float(os.environ.get("SECONDS", "8"))
PROBES_A_SECOND = 20
BRIEF = {
    "window": {"flour_to_fat": {"min": 2.1, "max": 2.6}, "soda_equivalent_percent": {"max": 1.2}},
    "limits": {"max_flour_change_percent": 15},
}

pytestmark = pytest.mark.benchmark


def briefs() -> list[bytes]:
    return [
        written("POST", "/v1/reformulations", {"recipe": generated_recipe(seed), **BRIEF})
        for seed in range(60)
    ]


async def pulse(port: int, until: asyncio.Event) -> list[float]:
    """Return how long each of many looks at /livez took, on a kept connection."""
    line, took, request = Line(port), [], written("GET", "/livez")
    while not until.is_set():
        began = time.monotonic()
        status, _, _ = await line.ask(request)
        assert status == 200
        took.append(time.monotonic() - began)
        await asyncio.sleep(1 / PROBES_A_SECOND)
    line.close()
    return sorted(took)


async def overloaded(port: int, requests: list[bytes], a_second: float) -> tuple[Told, list[float]]:
    over = asyncio.Event()
    watching = asyncio.create_task(pulse(port, over))
    told = await press(port, requests, a_second, SECONDS)
    over.set()
    return told, await watching


def test_overload(tmp_path):
    requests = briefs()
    arguments = ("--workers", "1", "--requests-per-minute", "0")
    with service(f"sqlite:///{tmp_path}/f.sqlite3", *arguments) as (port, _):
        asyncio.run(keep_asking(port, requests, 1, 2))  # what is read once is read
        peak = asyncio.run(keep_asking(port, requests, 2, SECONDS)).goodput
        print(f"\npeak {peak:.0f} answers a second ({load()})")
        for times in (2, 10):
            told, took = asyncio.run(overloaded(port, requests, times * peak))
            refused = {s: n for s, n in told.statuses.items() if s != 200}
            print(
                f"{times:2} ×: {told.goodput / peak:.2f} of the peak, refused {refused}, "
                f"without Retry-After {told.without_retry}, hung up on {told.gone}, "
                f"/livez p50 {1000 * took[len(took) // 2]:.0f} ms, "
                f"p99 {1000 * took[int(0.99 * len(took))]:.0f} ms ({load()})"
            )
            assert set(told.statuses) <= {200, 429, 503}
            assert told.without_retry == 0
