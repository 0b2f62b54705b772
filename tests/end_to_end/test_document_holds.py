"""The OpenAPI document, held to its word by requests that nobody thought of."""

import os

import httpx
from prometheus_client.parser import text_string_to_metric_families

from tests.end_to_end.conftest import running
from tests.end_to_end.pressing import keyed_command, press

SEED = os.environ.get("SEED", "1")
MOST_SECONDS = 540


def test_every_answer_is_as_documented(tmp_path):
    """Of 17,000 generated requests, good and bad, alone and in sequences that follow the links,
    every answer has a documented status, media type, headers and body; what violates the document
    is refused, and no status is a fault of the service's own."""
    database = f"sqlite:///{tmp_path}/formhold.sqlite3"
    with running(keyed_command(database), tmp_path) as server:
        options = ("--seed", SEED, "--max-examples", "12")
        pressed = press(server, database, *options, seconds=MOST_SECONDS)
        counted = httpx.get(f"{server.url}/metrics").text
        logged = server.log
    assert pressed.holds, pressed.said[-6000:]
    assert pressed.requests > 15_000
    by_status = {"2": 0.0, "5": 0.0}
    for family in text_string_to_metric_families(counted):
        for sample in family.samples:
            if sample.name == "formhold_requests_total" and sample.labels["status"] != "503":
                kind = sample.labels["status"][0]
                by_status[kind] = by_status.get(kind, 0) + sample.value
    assert by_status["5"] == 0
    assert by_status["2"] > 1_500, "too few of the requests meant anything"
    assert "Traceback" not in logged
