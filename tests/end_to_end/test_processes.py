"""Several processes on one socket are one service: one rate, one set of counts, one set of runs."""

import os
import re
import signal
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families

from tests.end_to_end.conftest import running
from tests.service.databases import KINDS, fresh_database

PROCESSES = 4
ASKED = 60
ANSWERED = 25
"""Requests a minute that are answered: fewer than are asked, more than the processes."""


@contextmanager
def crew(kind, folder, *arguments):
    """Yield a service of four processes, for one person."""
    command = [sys.executable, "-m", "service", "serve", "--port", "0", "--single-user"]
    command += ["--processes", str(PROCESSES), "--workers", "4", "--run-processes", "1"]
    with (
        fresh_database(kind, folder) as url,
        running([*command, "--database", url, *arguments], folder) as started,
    ):
        yield started


@pytest.fixture(scope="module")
def any_crew(tmp_path_factory):
    """One without limits, on a file."""
    with crew("sqlite", tmp_path_factory.mktemp("crew")) as started:
        yield started


def samples(url):
    answer = httpx.get(f"{url}/metrics")
    assert answer.status_code == 200, answer.text
    return {
        (sample.name, *sample.labels.values()): sample.value
        for family in text_string_to_metric_families(answer.text)
        for sample in family.samples
    }


def counted(url, route):
    return {
        key[3]: value
        for key, value in samples(url).items()
        if key[:3] == ("formhold_requests_total", "GET", route)
    }


def wait_for(reached, seconds=30):
    """Return the first true value of `reached` that comes in time."""
    until = time.monotonic() + seconds
    while not (value := reached()):
        assert time.monotonic() < until
        time.sleep(0.2)
    return value


@pytest.mark.parametrize("kind", KINDS)
def test_they_count_together(kind, tmp_path):
    """Whichever process each request came to, one limit holds over all of them, and each of them
    tells of every request, exactly."""
    with crew(kind, tmp_path, "--requests-per-minute", str(ANSWERED)) as limited:
        wait_for(lambda: time.time() % 60 < 50)  # all within one minute

        def ask(_):
            return httpx.get(f"{limited.url}/v1/measures").status_code  # on its own connection

        with ThreadPoolExecutor(16) as crowd:
            statuses = list(crowd.map(ask, range(ASKED)))
        assert (statuses.count(200), statuses.count(429)) == (ANSWERED, ASKED - ANSWERED)
        told = {"200": ANSWERED, "429": ASKED - ANSWERED}
        wait_for(lambda: counted(limited.url, "/v1/measures") == told)
        found = samples(limited.url)
        assert found[("formhold_processes",)] == PROCESSES
        assert found[("process_resident_memory_bytes",)] > PROCESSES * 20_000_000
        for _ in range(3 * PROCESSES):
            assert counted(limited.url, "/v1/measures") == told


def test_runs_are_worked_through_once(any_crew):
    """A run that any of the processes entered is worked through by one engine; it ends."""
    with httpx.Client(base_url=any_crew.url) as client:
        made = client.post("/v1/catalogues", json={"title": "Lanterns"}).json()["id"]
        line = '{"external_id": "%d", "lines": ["2 cups flour", "1/2 cup butter"]}\n'
        put = client.post(
            f"/v1/catalogues/{made}/import",
            content="".join(line % number for number in range(5)),
            headers={"Content-Type": "application/x-ndjson"},
        )
        assert put.status_code == 200, put.text
        brief = {"catalogue_id": made, "window": {"flour_to_fat": {"min": 2.4}}}
        entered = client.post("/v1/runs", json=brief)
        assert entered.status_code in {201, 202}, entered.text
        address = f"/v1/runs/{entered.json()['id']}"
        run = wait_for(lambda: (told := client.get(address).json())["state"] == "finished" and told)
        assert run["done"] == run["total"] == 5


def test_one_that_dies_is_replaced(any_crew):
    """A process that is killed is started again; the others answer meanwhile."""
    first = wait_for(lambda: started_by(any_crew))[0]
    before = len(started_by(any_crew))
    os.kill(first, signal.SIGKILL)
    for _ in range(20):
        assert httpx.get(f"{any_crew.url}/livez").status_code == 200
    wait_for(lambda: len(started_by(any_crew)) == before + 1)
    assert httpx.get(f"{any_crew.url}/readyz").status_code == 200


def started_by(crew):
    """Return the processes that have begun to answer, as the log tells them."""
    return [int(number) for number in re.findall(r"Started server process \[(\d+)\]", crew.log)]
