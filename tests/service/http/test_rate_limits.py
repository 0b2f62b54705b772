"""Rate limits: generous, each caller's own, and with the time to wait."""

from dataclasses import replace

import pytest

from service.app import create_app
from service.http.rate_limits import RateLimits
from service.problems import Refused
from service.settings import Settings
from tests.service.conftest import Caller, RunningApp
from tests.service.problem_checks import problem_in

LIMITED = Settings(host="0.0.0.0", open_requests_per_minute=3, keyed_requests_per_minute=5)


def count(limits, holder, address):
    """Return how many requests are answered before one is refused."""
    for answered in range(1000):
        try:
            limits.count(holder, address)
        except Refused as refused:
            assert 1 <= int(refused.headers["Retry-After"]) <= 60
            return answered
    return None


def test_each_caller_has_a_limit_of_its_own():
    """Addresses are counted apart, and so are keys, whichever address they come from."""
    limits = RateLimits(LIMITED)
    assert count(limits, None, "192.0.2.1") == 3
    assert count(limits, None, "192.0.2.2") == 3
    assert count(limits, "call_a", "192.0.2.1") == 5
    assert count(limits, "call_a", "192.0.2.9") == 0
    assert count(limits, "call_b", "192.0.2.1") == 5


def test_a_household_is_one_caller():
    """The addresses that one IPv6 network may choose from are counted together."""
    limits = RateLimits(LIMITED)
    assert count(limits, None, "2001:db8::1") == 3
    assert count(limits, None, "2001:db8::ffff") == 0
    assert count(limits, None, "2001:db8:0:1::1") == 3
    assert count(limits, None, "::ffff:192.0.2.1") == 3
    assert count(limits, None, "192.0.2.1") == 0


def test_nought_is_without_limit():
    """0 turns a limit off, as it is for a single user unless that is said otherwise."""
    for settings in (Settings(), replace(LIMITED, open_requests_per_minute=0)):
        assert count(RateLimits(settings), None, "127.0.0.1") is None


def test_what_others_can_reach_is_limited_by_default():
    """A service that is not for one person has limits without being told."""
    settings = Settings(host="0.0.0.0")
    assert (settings.most_without_key, settings.most_with_key) == (120, 1200)


@pytest.fixture
def limited(settings):
    with RunningApp(create_app(replace(LIMITED, database_url=settings.database_url))) as running:
        yield running


def test_one_too_many_is_429(limited, lantern):
    """The request after the last is refused with the seconds to wait; a key has its own count;
    asking whether the service lives is never counted."""
    body = {"recipe": lantern["recipe"]}
    for _ in range(3):
        assert limited.post("/v1/ratios", json=body).status_code == 200
    answer = limited.post("/v1/ratios", json=body)
    assert problem_in(answer, 429)["type"] == "/problems/too-many-requests"
    assert 1 <= int(answer.headers["retry-after"]) <= 60
    assert Caller(limited, "keyed").post("/v1/ratios", json=body).status_code == 200
    for _ in range(9):
        assert limited.get("/livez").status_code == 200


def test_made_up_keys_are_no_way_round(limited):
    """A key that nobody has counts for the address that sent it."""
    statuses = [
        limited.get(
            "/v1/measures", headers={"Authorization": f"Bearer fh_{'a' * 8}_{digit * 52}"}
        ).status_code
        for digit in "abcde"
    ]
    assert statuses == [200, 200, 200, 429, 429]
