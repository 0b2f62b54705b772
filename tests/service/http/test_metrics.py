"""What monitoring reads, understood by the Prometheus client's own parser."""

from dataclasses import replace

from prometheus_client.parser import text_string_to_metric_families

from service.app import create_app
from tests.service.conftest import RunningApp


def samples(client):
    answer = client.get("/metrics")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/plain; version=")
    return {
        (sample.name, *sample.labels.values()): sample.value
        for family in text_string_to_metric_families(answer.text)
        for sample in family.samples
    }


def test_requests_are_counted_by_route_and_outcome(client):
    """Two requests to one template are two of one kind, whatever was typed."""
    before = samples(client)
    client.get("/v1/ingredients/village%20secret")
    client.get("/v1/ingredients/lard")
    client.get("/v1/ingredients/butter")
    after = samples(client)
    counted = {
        status: after[key] - before.get(key, 0)
        for status in ("200", "404")
        for key in [("formhold_requests_total", "GET", "/v1/ingredients/{name}", status)]
    }
    assert counted == {"200": 2, "404": 1}
    timed = ("formhold_request_seconds_count", "/v1/ingredients/{name}")
    assert after[timed] - before.get(timed, 0) == 3


def test_the_process_tells_its_memory(client):
    """Resident memory, as every exporter names it."""
    assert samples(client)[("process_resident_memory_bytes",)] > 10_000_000


def test_no_caller_makes_the_list_grow(client):
    """Addresses that do not exist and methods that nobody knows are counted as one each."""
    for number in range(5):
        client.get(f"/secret-{number}")
        client.ask(f"VERB{chr(65 + number)}", "/v1/measures")
    found = samples(client)
    assert not any("secret" in str(key) or "VERB" in str(key) for key in found)
    assert found["formhold_requests_total", "GET", "-", "404"] >= 5
    assert (
        sum(v for key, v in found.items() if key[:2] == ("formhold_requests_total", "other")) >= 5
    )


def test_solves_are_counted_by_what_came_of_them(client, lantern):
    """A dough that cannot be brought there and one that can are told apart, each with its time;
    what is not proved has no time to proof."""
    before = samples(client)
    impossible = {**lantern, "window": {"flour_to_fat": {"min": 40}}}
    for body in (lantern, lantern, impossible):
        assert client.post("/v1/reformulations", json=body).status_code == 200
    grown = {key: value - before.get(key, 0) for key, value in samples(client).items()}
    assert grown["formhold_solves_total", "reformulated", "reformulate"] == 2
    assert grown["formhold_solves_total", "infeasible", "reformulate"] == 1
    assert grown["formhold_proof_seconds_count", "reformulate"] == 3
    assert 0 < grown["formhold_proof_seconds_sum", "reformulate"] < 60


def test_what_is_unfinished_has_no_time_to_proof(settings, lantern):
    """An answer that the deadline cut short is counted as such, and the queue is told."""
    with RunningApp(create_app(replace(settings, solve_seconds=0.0))) as hurried:
        assert hurried.post("/v1/reformulations", json=lantern).json()["outcome"] == "unfinished"
        found = samples(hurried)
    assert found["formhold_solves_total", "unfinished", "reformulate"] == 1
    assert ("formhold_proof_seconds_count", "reformulate") not in found
    assert found[("formhold_solves_waiting",)] == found[("formhold_solves_at_work",)] == 0
