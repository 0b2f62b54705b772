"""What monitoring reads, understood by the Prometheus client's own parser."""

from prometheus_client.parser import text_string_to_metric_families


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
