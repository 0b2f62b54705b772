"""Two hundred thousand requests: whether memory grows with them, and whether any goes wrong.

Prints bytes a request after a warm-up, by least squares over the second half. Run with
`.venv/bin/python -m pytest -m benchmark -s tests/benchmarks/test_soak.py`; REQUESTS sets how many.
"""

import asyncio
import os
import time
from collections import Counter

import numpy as np
import pytest

from tests.benchmarks.serving import Line, load, memory_of, recorded, service, written

REQUESTS = int(os.environ.get("REQUESTS", "200000"))
CALLERS = 4
LIGHT = [
    written("GET", "/v1/ingredients?query=butter"),
    written("GET", "/v1/measures"),
    written("GET", "/livez"),
    written("GET", "/nowhere"),
    written("POST", "/v1/ratios", {"recipe": {"lines": [{"text": "2 cups of flour"}]}}),
    written("POST", "/v1/readings", {"text": "2 cups flour\n1 cup sugar and a wish"}),
    written("POST", "/v1/ratios", {"recipe": {"lines": []}, "surplus": 1}),
]
SOLVES_AMONG = 50
"""One request in so many is a recorded reformulation."""

pytestmark = pytest.mark.benchmark


async def soak(port: int, process: int, statuses: "Counter[int]") -> list[tuple[int, int]]:
    """Return how many were answered, and the memory then, again and again."""
    solves = [
        written(pair["method"], pair["path"], pair["body"])
        for pair in recorded("POST")
        if pair["path"] == "/v1/reformulations"
        and isinstance(pair.get("body"), dict)
        and pair["name"] != "unfinished"
    ]
    seen: list[tuple[int, int]] = []
    numbers = iter(range(REQUESTS))

    async def caller() -> None:
        line = Line(port)
        for at in numbers:
            heavy = at % SOLVES_AMONG == 0
            request = solves[at // SOLVES_AMONG % len(solves)] if heavy else LIGHT[at % len(LIGHT)]
            status, _, _ = await line.ask(request)
            statuses[status] += 1
            if at % 500 == 0:
                seen.append((at, memory_of(process)))
        line.close()

    await asyncio.gather(*(caller() for _ in range(CALLERS)))
    return seen


def test_soak(tmp_path):
    statuses: Counter[int] = Counter()
    began = time.monotonic()
    arguments = ("--workers", "2", "--requests-per-minute", "0")
    with service(f"sqlite:///{tmp_path}/f.sqlite3", *arguments) as (port, process):
        seen = asyncio.run(soak(port, process, statuses))
    half = [pair for pair in seen if pair[0] >= REQUESTS / 2]
    slope = np.polyfit([at for at, _ in half], [memory for _, memory in half], 1)[0]
    print(
        f"\n{REQUESTS:,} requests in {time.monotonic() - began:.0f} s: {dict(statuses)}; "
        f"{seen[0][1] / 1e6:.1f} MB at first, {half[0][1] / 1e6:.1f} MB half way, "
        f"{half[-1][1] / 1e6:.1f} MB at the end: {slope:+.2f} bytes a request ({load()})"
    )
    assert set(statuses) == {200, 404, 422}
