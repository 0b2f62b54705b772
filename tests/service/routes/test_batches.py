"""POST /v1/batches: many briefs in one request, answered in order."""

import copy
import json
import time
from concurrent.futures import ThreadPoolExecutor

from tests.service.problem_checks import problem_in


def lines_of(answer):
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith("application/x-ndjson")
    return [json.loads(line) for line in answer.text.splitlines()]


def test_each_brief_is_answered_as_if_alone_and_in_order(client, lantern):
    """Answers are those of single requests; a brief at fault has its problem in its line, with
    pointers into that brief, and keeps nothing from the others."""
    briefs = [copy.deepcopy(lantern) for _ in range(4)]
    briefs[1]["limits"] = {"keep": ["moonrock"]}
    briefs[2]["window"] = {"flour_to_fat": {"min": 1.9}}
    briefs[3] = {"recipe": 7}
    found = lines_of(client.post("/v1/batches", json={"briefs": briefs}))
    assert [line["index"] for line in found] == [0, 1, 2, 3]
    assert [line["status"] for line in found] == [200, 422, 200, 422]
    for line, brief in zip(found, briefs, strict=True):
        alone = client.post("/v1/reformulations", json=brief)
        assert (line["answer"] or line["problem"]) == alone.json()
        assert line["status"] == alone.status_code
    assert found[1]["problem"]["errors"][0]["pointer"] == "/limits/keep/0"


def test_a_body_that_is_no_batch_is_refused_whole(client, lantern):
    """None, too many, or something else than briefs: a problem, and no line."""
    problem_in(client.post("/v1/batches", json={"briefs": []}), 422)
    problem_in(client.post("/v1/batches", json={"briefs": [{}] * 101}), 422)
    problem_in(client.post("/v1/batches", json={"briefs": [7]}), 422)
    problem_in(client.post("/v1/batches", json=lantern), 422)
    problem_in(client.post("/v1/batches", content=b"{"), 415)


def test_a_hundred_long_briefs_are_within_bounds(client, lantern):
    """A batch may hold a hundred times what a request may; its size is bounded by its bytes."""
    lantern["recipe"]["lines"] *= 4
    lantern["recipe"]["lines"] = lantern["recipe"]["lines"][:24]
    lantern["limits"] = {"keep": ["moonrock"]}
    found = lines_of(client.post("/v1/batches", json={"briefs": [lantern] * 100}))
    assert [line["status"] for line in found] == [422] * 100


def test_each_brief_counts_as_a_request(keyed_service, baker, lantern):
    """A batch is no way around the rate; it is refused before it is begun."""
    rates = keyed_service.app.state.wiring.rates
    counted = []
    true_count = rates.count
    rates.count = lambda *who: counted.append(who) or true_count(*who)
    try:
        lines_of(baker.post("/v1/batches", json={"briefs": [{}] * 7}))
    finally:
        del rates.count
    assert len(counted) == 7


def test_single_callers_do_not_wait_for_a_batch(client, lantern):
    """While a batch of fifty is worked through, a single question is answered before its end."""
    with ThreadPoolExecutor(1) as others:
        began = time.monotonic()
        batch = others.submit(client.post, "/v1/batches", json={"briefs": [lantern] * 50})
        time.sleep(0.05)
        assert client.post("/v1/ratios", json={"recipe": lantern["recipe"]}).status_code == 200
        single = time.monotonic() - began
        found = lines_of(batch.result())
        whole = time.monotonic() - began
    assert [line["status"] for line in found] == [200] * 50
    assert single < whole
