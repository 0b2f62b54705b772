"""Notices: a run's end told to a real receiver, signed, until it comes."""

import hashlib
import hmac
import json
import re
import threading
import time
from datetime import timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from service.app import create_app
from service.runs import notices
from service.settings import Settings
from tests.service.conftest import Caller, RunningApp
from tests.service.databases import KINDS, fresh_database
from tests.service.problem_checks import problem_in

SECRET = "a secret of no one".replace(" ", "-")
WINDOW = {"flour_to_fat": {"min": 2.1}}
QUICK = (timedelta(seconds=0.1), timedelta(seconds=0.1))


class Receiver(BaseHTTPRequestHandler):
    """Answers with its server's statuses, one after the other, and remembers what came."""

    def do_POST(self):
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.came.append((dict(self.headers), body))
        self.send_response(self.server.statuses.pop(0) if self.server.statuses else 204)
        self.end_headers()

    def log_message(self, *_):
        """Say nothing."""


@pytest.fixture
def receiver():
    with HTTPServer(("127.0.0.1", 0), Receiver) as server:
        server.came, server.statuses = [], []
        server.address = f"http://127.0.0.1:{server.server_port}/runs"
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server
        server.shutdown()


@pytest.fixture(params=KINDS)
def baker(request, tmp_path, monkeypatch):
    """A caller of a service that may call this machine, and waits for little."""
    monkeypatch.setattr(notices, "LOOK_EVERY_SECONDS", 0.05)
    monkeypatch.setattr(notices.NoticeSender.__init__, "__defaults__", (QUICK,))
    with fresh_database(request.param, tmp_path) as url:
        rest = {"single_user": False, "run_processes": 1, "workers": 1}
        settings = Settings(database_url=url, notify_hosts="127.0.0.1", **rest)
        with RunningApp(create_app(settings)) as running:
            yield Caller(running, "baker")


@pytest.fixture
def run(baker, recipe):
    """The address of a run over one recipe."""
    catalogue = baker.make("/v1/catalogues", {"title": "Wickhollow"})["id"]
    baker.make("/v1/recipes", {"recipe": recipe, "catalogue_id": catalogue})
    started = baker.post("/v1/runs", json={"catalogue_id": catalogue, "window": WINDOW})
    return started.headers["location"]


def tell(baker, run, url, secret=SECRET):
    return baker.ask("PUT", f"{run}/notice", json={"url": url, "secret": secret})


def wait_for(baker, run, holds):
    """Wait until what is kept of the notice is as it should be, and return it."""
    for _ in range(600):
        kept = baker.get(f"{run}/notice").json()
        if holds(kept):
            return kept
        time.sleep(0.05)
    raise AssertionError(kept)


def test_the_end_of_a_run_is_told_and_signed(baker, run, receiver):
    """Whoever has the secret can tell that it comes from here, when, and that nothing changed."""
    assert tell(baker, run, receiver.address).status_code == 200
    kept = wait_for(baker, run, lambda notice: notice["delivered_at"])
    assert (kept["tries"], kept["answered"], kept["due_at"]) == (1, "status 204", None)
    [(headers, body)] = receiver.came
    told = json.loads(body)
    assert told["event"] == "run-over"
    assert told["run"] == baker.get(run).json()
    assert headers["Formhold-Delivery"] == told["run"]["id"]
    created, signed = re.fullmatch(
        r"created=(\d+), hmac-sha256=([0-9a-f]{64})", headers["Formhold-Signature"]
    ).groups()
    assert abs(int(created) - time.time()) < 60
    own = hmac.new(SECRET.encode(), created.encode() + b"." + body, hashlib.sha256).hexdigest()
    assert signed == own
    assert SECRET not in json.dumps(kept) + str(headers) + body.decode()


def test_who_does_not_take_it_is_told_again(baker, run, receiver):
    """After an error the same comes again, under the same name, until it is taken."""
    receiver.statuses = [500, 302]
    tell(baker, run, receiver.address)
    kept = wait_for(baker, run, lambda notice: notice["delivered_at"])
    assert kept["tries"] == 3
    assert len({body for _, body in receiver.came}) == 1
    assert len({headers["Formhold-Delivery"] for headers, _ in receiver.came}) == 1


def test_who_never_takes_it_is_given_up(baker, run, receiver):
    """After the last try nothing more is sent, and the reason stands there."""
    receiver.statuses = [410] * 9
    tell(baker, run, receiver.address)
    kept = wait_for(baker, run, lambda notice: notice["due_at"] is None)
    assert (kept["tries"], kept["answered"], kept["delivered_at"]) == (3, "status 410", None)
    receiver.shutdown()
    receiver.server_close()
    tell(baker, run, receiver.address)
    kept = wait_for(baker, run, lambda notice: notice["due_at"] is None)
    assert kept["answered"].startswith("no answer")


def test_only_whom_the_operator_allows_is_told(baker, run, receiver):
    """An address elsewhere is refused at once, and so is a secret that is none."""
    for url in ("https://elsewhere.example/", "http://10.0.0.1/", "no address"):
        [fault] = problem_in(tell(baker, run, url), 422)["errors"]
        assert fault["pointer"] == "/url"
    [fault] = problem_in(tell(baker, run, receiver.address, secret="short"), 422)["errors"]
    assert fault["pointer"] == "/secret"
    assert receiver.came == []


def test_a_notice_is_its_callers_own(baker, run, receiver):
    """Another caller sees none and sets none; one that is taken back is not sent."""
    stranger = Caller(baker.running, "stranger")
    problem_in(tell(stranger, run, receiver.address), 404)
    problem_in(baker.get(f"{run}/notice"), 404)
    receiver.statuses = [500] * 3
    tell(baker, run, receiver.address)
    problem_in(stranger.get(f"{run}/notice"), 404)
    problem_in(stranger.ask("DELETE", f"{run}/notice"), 404)
    assert baker.ask("DELETE", f"{run}/notice").status_code == 204
    problem_in(baker.get(f"{run}/notice"), 404)
