"""Requests made of the OpenAPI document, by the hundred thousand: every answer is as documented.

Prints how many were sent and what was found. Run with
`.venv/bin/python -m pytest -m benchmark -s tests/benchmarks/test_document_requests.py`; REQUESTS
sets how many (100,000 unless told), SEED where they begin.
"""

import os
import time

import pytest

from tests.benchmarks.serving import load
from tests.end_to_end.conftest import running
from tests.end_to_end.pressing import keyed_command, press

REQUESTS = int(os.environ.get("REQUESTS", "100000"))
SEED = int(os.environ.get("SEED", "1000"))

pytestmark = pytest.mark.benchmark


def test_a_hundred_thousand_requests(tmp_path):
    database = f"sqlite:///{tmp_path}/formhold.sqlite3"
    sent, seed, began = 0, SEED, time.monotonic()
    with running(keyed_command(database), tmp_path) as server:
        while sent < REQUESTS:
            options = ("--seed", str(seed), "--max-examples", "50")
            pressed = press(server, database, *options, seconds=3600)
            assert pressed.holds, pressed.said[-6000:]
            sent, seed = sent + pressed.requests, seed + 1
            print(f"seed {seed - 1}: {sent:,} requests, {time.monotonic() - began:.0f} s, {load()}")
        assert "Traceback" not in server.log
