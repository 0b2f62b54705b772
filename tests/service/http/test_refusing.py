"""Errors over HTTP: complete problem documents that leak nothing."""

import json
import logging

import pytest
from starlette.exceptions import HTTPException

from models.errors import RecheckFailed
from service.app import create_app
from tests.service.conftest import RunningApp
from tests.service.problem_checks import problem_in


@pytest.fixture(scope="module")
def breaking(settings):
    """The app with two addresses that go wrong, as a fault of ours would."""
    app = create_app(settings)

    @app.get("/broken")
    async def broken() -> None:
        raise RuntimeError("secret of the house")

    @app.get("/withheld")
    async def withheld() -> None:
        raise RecheckFailed("flour_to_fat.min does not hold")

    @app.get("/teapot")
    async def teapot() -> None:
        raise HTTPException(418)

    with RunningApp(app) as running:
        yield running


def test_an_unexpected_error_leaks_only_its_number(breaking, caplog):
    """A fault of ours is 500 with a number, under which the log has the whole of it."""
    with caplog.at_level(logging.ERROR):
        answer = breaking.get("/broken", headers={"X-Request-Id": "abc-123"})
    problem = problem_in(answer, 500)
    assert problem["type"] == "/problems/internal-error"
    assert "abc-123" in problem["detail"]
    assert "secret" not in answer.text
    assert "secret of the house" in caplog.text
    assert "abc-123" in caplog.text


def test_an_error_of_the_framework_is_a_problem_too(breaking):
    """Whatever else the framework refuses is refused in the same form."""
    assert problem_in(breaking.get("/teapot"), 418)["type"] == "/problems/http-error"


def test_an_answer_that_fails_its_check_is_withheld(breaking, caplog):
    """An answer that breaks its own brief is 500 and logged, never given."""
    with caplog.at_level(logging.ERROR):
        answer = breaking.get("/withheld")
    assert problem_in(answer, 500)["type"] == "/problems/answer-withheld"
    assert "flour_to_fat" not in answer.text
    assert "flour_to_fat.min does not hold" in caplog.text


@pytest.mark.parametrize(
    "address", ["/nowhere", "/v1", "/v1/ratios/", "/v1/../etc/passwd", "/docs"]
)
def test_an_unknown_address_is_404(client, address):
    """There is nothing at any other address; the usual documentation pages are left out too."""
    assert problem_in(client.get(address), 404)["type"] == "/problems/not-found"


@pytest.mark.parametrize("method", ["GET", "PUT", "DELETE", "PATCH"])
def test_another_method_is_405_and_names_the_right_one(client, method):
    """A method that an address does not take is refused with the one that it takes."""
    answer = client.ask(method, "/v1/ratios")
    assert problem_in(answer, 405)["type"] == "/problems/method-not-allowed"
    assert answer.headers["allow"] == "POST"


@pytest.mark.parametrize(
    ("address", "takes"),
    [
        ("/v1/recipes", {"GET", "HEAD", "POST"}),
        ("/v1/recipes/abc", {"GET", "HEAD", "PUT", "DELETE"}),
        ("/v1/kitchens/abc/trials/def", {"GET", "HEAD", "PUT", "DELETE"}),
    ],
)
def test_another_method_is_told_all_that_the_address_takes(client, address, takes):
    """Allow lists every method of the target resource (RFC 9110, 10.2.1 and 15.5.6)."""
    answer = client.ask("PATCH", address)
    assert problem_in(answer, 405)["type"] == "/problems/method-not-allowed"
    assert set(answer.headers["allow"].split(", ")) == takes


def test_thousands_of_faults_are_counted_and_the_first_listed(client):
    """A body of mistakes is answered with their number and the first five hundred."""
    body = json.dumps({f"stranger {i}": 0 for i in range(3000)}).encode()
    answer = client.post("/v1/ratios", content=body, headers={"Content-Type": "application/json"})
    problem = problem_in(answer, 422)
    assert "3001 faults" in problem["detail"]
    assert len(problem["errors"]) == 500
