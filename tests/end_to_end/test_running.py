"""A server's life: it starts, says where, answers alike everywhere, and stops without dropping."""

import json
import os
import signal
import subprocess
import sys
import threading
import time

import httpx
import pytest

from tests.end_to_end.conftest import running

SLOW = {
    "recipe": {
        "lines": [
            {"ingredient": name, "quantity": 200 + i, "unit": "g"}
            for name in ("all-purpose flour", "unsalted butter")
            for i in range(20)
        ]
    },
    "window": {"flour_to_fat": {"min": 1.5}},
}
"""Forty lines that move: far more than the solver proves within a few seconds."""


def command(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "service", *arguments]


def run(*arguments: str, stdin: str = "", **environment: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        command(*arguments),
        input=stdin,
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, **environment},
    )


def test_processes_answer_alike_to_the_byte(server, lantern, tmp_path):
    """Two processes with different hash seeds and the server give the same bytes."""
    brief = tmp_path / "brief.json"
    brief.write_text(json.dumps(lantern))
    answers = {
        run("reformulate", str(brief), "--json", PYTHONHASHSEED=seed).stdout for seed in ("1", "2")
    }
    over_http = run("reformulate", str(brief), "--json", "--url", server.url).stdout
    assert answers == {over_http}
    assert json.loads(over_http)["outcome"] == "reformulated"


def test_standard_output_holds_the_answer_alone(lantern):
    """A brief on standard input, its answer on standard output, nothing else anywhere."""
    ended = run("reformulate", "-", "--json", stdin=json.dumps(lantern))
    assert (ended.returncode, ended.stderr) == (0, "")
    assert json.loads(ended.stdout)["cost"]["total"] == pytest.approx(0.390524, abs=5e-7)


def test_faults_are_the_same_over_http(server, tmp_path):
    """Bad input is told in the same words, with the same exit code, wherever it was judged."""
    recipe = tmp_path / "dough.txt"
    recipe.write_text("1 cup butter\n1 egg\n")
    here = run("reformulate", str(recipe), "--flour-to-fat", "2:")
    there = run("reformulate", str(recipe), "--flour-to-fat", "2:", "--url", server.url)
    assert (here.returncode, here.stdout) == (2, "")
    assert (there.returncode, there.stdout, there.stderr) == (2, "", here.stderr)


def test_ingredients_are_searched_over_http(server):
    """A search can be asked of a service too."""
    assert (
        run("ingredients", "ginger", "--url", server.url).stdout
        == run("ingredients", "ginger").stdout
    )


def test_a_reader_who_has_seen_enough_breaks_nothing(tmp_path):
    """Piped into a reader that closes early, a command ends quietly."""
    piped = f"{sys.executable} -m service ingredients --limit 500 --json | head -c 10"
    ended = subprocess.run(["bash", "-c", f"set -o pipefail; {piped}"], capture_output=True)
    assert ended.stderr == b""
    assert ended.returncode == 0


def test_a_port_that_is_taken_ends_with_2(server, tmp_path):
    """Two services cannot share a port; the second says so."""
    port = server.url.rpartition(":")[2]
    ended = run("serve", "--port", port, "--database", f"sqlite:///{tmp_path}/a.sqlite3")
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "--port" in ended.stderr
    assert "Traceback" not in ended.stderr


def test_stopping_finishes_what_runs(tmp_path):
    """Told to stop, the server answers the request it has, refuses new ones, and ends."""
    database = f"sqlite:///{tmp_path}/formhold.sqlite3"
    serve = command("serve", "--port", "0", "--database", database, "--solve-seconds", "3")
    answers = []
    with running(serve, tmp_path) as server:

        def ask() -> None:
            with httpx.Client(trust_env=False, timeout=30) as client:
                answers.append(client.post(f"{server.url}/v1/reformulations", json=SLOW))

        asking = threading.Thread(target=ask)
        asking.start()
        time.sleep(1)
        server.process.send_signal(signal.SIGTERM)
        asking.join()
        assert server.process.wait(timeout=30) in {0, -signal.SIGTERM}
    [answer] = answers
    assert answer.status_code == 200
    assert answer.json()["outcome"] in {"unfinished", "reformulated"}


def test_an_interrupt_ends_quietly(tmp_path):
    """Stopped from the keyboard, the server ends without a word of complaint."""
    database = f"sqlite:///{tmp_path}/formhold.sqlite3"
    with running(command("serve", "--port", "0", "--database", database), tmp_path) as server:
        server.process.send_signal(signal.SIGINT)
        assert server.process.wait(timeout=30) == 130
        assert "Traceback" not in server.log


def test_a_demonstration_that_is_stopped_cleans_up(tmp_path):
    """Told to stop, the demonstration takes its service with it."""
    with running(command("demo"), tmp_path) as demo:
        url = demo.url.rstrip(".")
        demo.process.send_signal(signal.SIGTERM)
        demo.process.wait(timeout=30)
        with pytest.raises(httpx.ConnectError):
            httpx.get(url, trust_env=False)


def test_a_deadline_that_strikes_is_answered_in_time(tmp_path, server):
    """A brief too hard for its time is answered soon after the time is up."""
    brief = tmp_path / "slow.json"
    brief.write_text(json.dumps(SLOW))
    began = time.monotonic()
    ended = run("reformulate", str(brief), "--json", "--solve-seconds", "1")
    assert ended.returncode == 1
    outcome = json.loads(ended.stdout)
    assert outcome["outcome"] == "unfinished"
    assert outcome["proof"]["status"] == "deadline"
    assert time.monotonic() - began < 20


def test_the_demonstration_runs_by_itself():
    """The demonstration starts a service, shows a dough before and after, and cleans up."""
    ended = run("demo")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "3 2/3 cups + 3 tbsp" in ended.stdout
    assert "curl http://127.0.0.1:8000/v1/reformulations" in ended.stdout
    address = next(word for word in ended.stdout.split() if word.startswith("http://127.0.0.1:"))
    with pytest.raises(httpx.ConnectError):
        httpx.get(address.rstrip("."), trust_env=False)
