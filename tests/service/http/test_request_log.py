"""What is logged of a request, and the headers of every answer."""

import io
import json
import logging

import pytest

from service.logs import formatter


@pytest.fixture
def logged(caplog):
    """What an operator's log holds of the requests of a test, line by line, as it was written."""

    def lines():
        writer = formatter(io.StringIO())
        records = [r for r in caplog.records if r.name == "formhold.requests"]
        return [json.loads(writer.format(record)) for record in records]

    with caplog.at_level(logging.INFO, logger="formhold.requests"):
        yield lines


def test_each_request_is_one_line_without_its_contents(client, logged):
    """The log has the method, the address's template, the status and the time; no body, no name."""
    client.get("/v1/ingredients/village%20secret", headers={"X-Request-Id": "one"})
    [line] = logged()
    assert line["duration_ms"] >= 0
    told = {name: line[name] for name in ("method", "route", "status", "request_id", "level")}
    assert told == {
        "method": "GET",
        "route": "/v1/ingredients/{name}",
        "status": 404,
        "request_id": "one",
        "level": "info",
    }
    assert "village" not in str(line)


def test_an_address_that_does_not_exist_is_not_written_down(client, logged):
    """What a stranger typed as an address cannot write lines into the log."""
    client.get("/x%0d%0aforged")
    [line] = logged()
    assert (line["route"], line["status"]) == ("-", 404)
    assert "forged" not in str(line)


@pytest.mark.parametrize("given", ["", "a b", "x" * 65, "é", "a/b", "<script>"])
def test_a_request_without_a_usable_id_gets_one(client, given):
    """An id that is missing, long or strange is replaced."""
    answer = client.get("/livez", headers={"X-Request-Id": given.encode()})
    assert len(answer.headers["x-request-id"]) == 32


def test_a_usable_id_is_echoed(client):
    """The caller's own id comes back."""
    answer = client.get("/livez", headers={"X-Request-Id": "kitchen-7.a_B"})
    assert answer.headers["x-request-id"] == "kitchen-7.a_B"


@pytest.mark.parametrize("address", ["/livez", "/nowhere"])
def test_every_answer_has_safe_headers(client, address):
    """No browser will guess at an answer or run it."""
    headers = client.get(address).headers
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["content-security-policy"].startswith("default-src 'none'")


def test_head_is_get_without_the_body(client):
    """HEAD answers with the headers of GET."""
    head, get = client.ask("HEAD", "/v1/measures"), client.get("/v1/measures")
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["content-length"] == get.headers["content-length"]


def test_head_is_logged_as_head(client, logged):
    """The log names the method that was asked and the address's template."""
    client.ask("HEAD", "/v1/measures")
    [line] = logged()
    assert (line["method"], line["route"], line["status"]) == ("HEAD", "/v1/measures", 200)


def test_a_page_of_any_origin_may_ask(client):
    """A browser may post JSON from a recipe page of any origin, without credentials."""
    headers = {
        "Origin": "https://recipes.example",
        "Access-Control-Request-Method": "POST",
        "Access-Control-Request-Headers": "content-type",
    }
    preflight = client.ask("OPTIONS", "/v1/reformulations", headers=headers)
    assert preflight.status_code == 200
    assert preflight.headers["access-control-allow-origin"] == "*"
    assert "access-control-allow-credentials" not in preflight.headers


def test_even_errors_can_be_read_by_a_page(client):
    """A page may read the problem document too."""
    answer = client.get("/nowhere", headers={"Origin": "https://recipes.example"})
    assert answer.headers["access-control-allow-origin"] == "*"


def test_options_says_what_an_address_takes(client):
    """OPTIONS without a page behind it names the methods."""
    answer = client.ask("OPTIONS", "/v1/ratios")
    assert (answer.status_code, answer.headers["allow"]) == (204, "POST")
