"""Idempotency keys: sent again, a request is done once and answered the same, to the byte."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import insert, text, update

from service.migrations import upgrade
from service.store.answered import KEPT, Answered, Claim, answer_once, forget_old
from service.store.database import Database
from service.store.moments import now
from service.store.refusals import InFlight
from service.store.tables import callers, idempotent_requests
from tests.service.databases import fresh_database
from tests.service.problem_checks import problem_in

CROWD = 100


@pytest.fixture
def requests(recipe):
    """One request for each thing that can be stored, under an address with a kitchen's name."""
    return {
        "/v1/recipes": {"recipe": recipe},
        "/v1/catalogues": {"title": "Panels"},
        "/v1/kitchens": {"name": "Wickhollow, the stone oven"},
        "/v1/kitchens/{kitchen}/trials": {
            "recipe": recipe,
            "form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
            "sheets": [{"thickness_mm": 4, "pieces": [{"crack_grade": 1}]}],
        },
    }


def test_a_request_sent_again_is_done_once(baker, requests):
    """Each storing POST sent twice with one key stores one thing; the second answer is the first,
    to the byte, with the same address and tag, and says that it is a replay."""
    kitchen = baker.make("/v1/kitchens", {"name": "Another"})["id"]
    for number, (path, body) in enumerate(requests.items()):
        address, key = path.format(kitchen=kitchen), {"Idempotency-Key": f"key-{number}"}
        first, second = (baker.post(address, json=body, headers=key) for _ in range(2))
        assert (first.status_code, second.status_code) == (201, 201)
        assert second.content == first.content
        for header in ("location", "etag", "content-type"):
            assert second.headers[header] == first.headers[header]
        assert "idempotent-replay" not in first.headers
        assert second.headers["idempotent-replay"] == "true"
        listed = baker.pages(address, address.rpartition("/")[2])
        assert sum(entry["id"] == first.json()["id"] for entry in listed) == 1
        assert len(listed) == (2 if address == "/v1/kitchens" else 1)


def test_every_address_that_stores_was_tried(keyed_service, requests):
    """Whatever POST takes an Idempotency-Key is among the requests above, or is a file's."""
    paths = keyed_service.get("/openapi.json").json()["paths"]
    taking = {
        path.replace("{kitchen_id}", "{kitchen}")
        for path, methods in paths.items()
        if "Idempotency-Key" in str(methods.get("post", {}).get("parameters"))
        and path.startswith(("/v1/recipes", "/v1/catalogues", "/v1/kitchens"))
    }
    assert taking == {*requests, "/v1/catalogues/{catalogue_id}/import"}


def test_a_crowd_with_one_key_is_one_request(baker, recipe):
    """A hundred at once with one key: one recipe, and a hundred answers alike to the byte."""
    key = {"Idempotency-Key": "a crowd".replace(" ", "-")}

    def send(_):
        return baker.post("/v1/recipes", json={"recipe": recipe}, headers=key)

    with ThreadPoolExecutor(CROWD) as crowd:
        answers = list(crowd.map(send, range(CROWD)))
    assert {answer.status_code for answer in answers} == {201}
    assert len({answer.content for answer in answers}) == 1
    assert sum("idempotent-replay" in answer.headers for answer in answers) == CROWD - 1
    assert len(baker.pages("/v1/recipes", "recipes")) == 1


def test_a_key_stands_for_one_request(baker, recipe):
    """The same key with another body, or at another address, is 422 and stores nothing."""
    key = {"Idempotency-Key": "once"}
    assert baker.post("/v1/kitchens", json={"name": "One"}, headers=key).status_code == 201
    for address, body in [("/v1/kitchens", {"name": "Two"}), ("/v1/recipes", {"recipe": recipe})]:
        problem = problem_in(baker.post(address, json=body, headers=key), 422)
        assert problem["type"] == "/problems/key-reused"
    assert [kitchen["name"] for kitchen in baker.pages("/v1/kitchens", "kitchens")] == ["One"]
    assert baker.pages("/v1/recipes", "recipes") == []


def test_callers_do_not_share_keys(baker, stranger):
    """Another caller's same key is a key of its own."""
    for each in (baker, stranger):
        key = {"Idempotency-Key": "ours"}
        answer = each.post("/v1/kitchens", json={"name": "Ours"}, headers=key)
        assert "idempotent-replay" not in answer.headers


def test_a_refused_request_leaves_its_key_free(baker, recipe):
    """What stored nothing may be mended and sent again with the same key."""
    key = {"Idempotency-Key": "mended"}
    bad = {"recipe": recipe, "catalogue_id": "nowhere"}
    problem_in(baker.post("/v1/recipes", json=bad, headers=key), 422)
    assert baker.post("/v1/recipes", json={"recipe": recipe}, headers=key).status_code == 201


@pytest.mark.parametrize("key", ["", "a b", "x" * 256, "\u00e9"])
def test_what_is_no_key_is_refused(baker, recipe, key):
    """Empty, too long, or of other characters than visible ASCII: 422 at the header."""
    headers = {"Idempotency-Key": key.encode()}
    answer = baker.post("/v1/recipes", json={"recipe": recipe}, headers=headers)
    [fault] = problem_in(answer, 422)["errors"]
    assert fault["pointer"] == "/header/Idempotency-Key"


def test_two_keys_are_refused(baker, recipe):
    """A request with two keys does not say which one counts."""
    headers = [
        ("Idempotency-Key", "a"),
        ("Idempotency-Key", "b"),
        ("Authorization", f"Bearer {baker.key}"),
    ]
    problem_in(baker.running.post("/v1/recipes", json={"recipe": recipe}, headers=headers), 422)


def test_a_request_still_at_work_is_409(baker, keyed_service):
    """While the first request of a key has not ended, the same one again is told to wait."""
    database = keyed_service.app.state.wiring.database
    key = {"Idempotency-Key": "slow"}
    baker.post("/v1/kitchens", json={"name": "Slow"}, headers=key)
    with database.writing() as connection:
        unfinished = update(idempotent_requests).where(idempotent_requests.c.key == "slow")
        connection.execute(unfinished.values(status=None, body=None))
    answer = baker.post("/v1/kitchens", json={"name": "Slow"}, headers=key)
    assert problem_in(answer, 409)["type"] == "/problems/in-flight"
    assert int(answer.headers["retry-after"]) > 0


def test_waiting_for_another_transaction_has_an_end(tmp_path):
    """On PostgreSQL a request waits for the first with its key, and is told so if that takes too
    long."""
    with fresh_database("postgresql", tmp_path) as url:
        database = Database(url)
        upgrade(database)
        with database.writing() as connection:
            connection.execute(insert(callers).values(id="a", name="a", created_at=now()))
        claim = Claim("a", "slow", b"")
        with database.writing() as first, pytest.raises(InFlight), database.writing() as second:
            answer_once(first, claim, lambda: Answered(201, {}, b""))
            second.execute(text("SET LOCAL lock_timeout = '50ms'"))
            answer_once(second, claim, lambda: Answered(201, {}, b""))
        with database.writing() as third:
            assert answer_once(third, claim, lambda: Answered(201, {}, b"")) == (
                Answered(201, {}, b""),
                True,
            )
        database.close()


def test_old_answers_are_forgotten(database):
    """After a week a key is free; until then its answer is kept."""
    ages = {"old": KEPT + timedelta(seconds=1), "young": KEPT - timedelta(minutes=1)}
    with database.writing() as connection:
        connection.execute(insert(callers).values(id="a", name="a", created_at=now()))
        for key, age in ages.items():
            row = {"caller_id": "a", "key": key, "request_digest": b"", "created_at": now() - age}
            connection.execute(insert(idempotent_requests).values(**row))
        forget_old(connection)
        kept = connection.scalars(
            idempotent_requests.select().with_only_columns(idempotent_requests.c.key)
        ).all()
    assert kept == ["young"]
