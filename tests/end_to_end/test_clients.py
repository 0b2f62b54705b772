"""Clients: the one that comes with the service, and the lines that README prints, as printed."""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

from service.client import Formhold, RequestRefused, Unreachable

README = Path("README.md").read_text()
CSV = "\n".join(
    ["recipe,title,line"]
    + [
        f"r{i},Dough {i},{line}"
        for i in range(3)
        for line in ("300 g flour", f"{140 + i} g butter")
    ]
)
BRIEF = {
    "recipe": {"lines": [{"text": "300 g flour"}, {"text": "150 g butter"}]},
    "window": {"flour_to_fat": {"min": 2.1}},
}


def printed(language: str, url: str) -> str:
    """The code of that language in README, speaking to this server."""
    (code,) = re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)
    assert "http://127.0.0.1:8000" in code
    return code.replace("http://127.0.0.1:8000", url)


def said_by(*command: str) -> str:
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_python_of_readme_works_as_printed(server):
    """Five lines, an outcome and its measures."""
    said = said_by(sys.executable, "-c", printed("python", server.url))
    assert said.startswith("reformulated [")
    assert "cup" in said


def test_the_javascript_of_readme_works_as_printed(server, tmp_path):
    """Run by Node, whose fetch is that of a browser."""
    node = shutil.which("node")
    if node is None:
        if os.environ.get("FORMHOLD_REQUIRE_NODE") == "1":
            pytest.fail("node is required and not there")
        pytest.skip("node is not installed; nothing here needs it but this test")
    script = tmp_path / "readme.mjs"
    script.write_text(printed("js", server.url))
    assert said_by(node, str(script)).startswith("reformulated [")


def test_a_shops_day_through_the_client(server):
    """A catalogue is imported, run over, followed to its end, read and taken over."""
    with Formhold(server.url) as formhold:
        made = formhold.make_catalogue("Wickhollow")
        summary = formhold.import_recipes(made.id, CSV.encode(), "text/csv")
        assert summary.created == 3
        window = {"flour_to_fat": {"min": 2.12}}
        run = formhold.start_run({"catalogue_id": made.id, "window": window})
        *_, last = formhold.follow(run.id)
        assert (last.state, last.done) == ("finished", 3)
        items = list(formhold.items(run.id))
        moved = [item.recipe_id for item in items if item.outcome == "reformulated"]
        assert len(items) == 3
        assert moved
        applied = formhold.apply_run(run.id, moved[:1])
        assert [one.fate for one in applied.recipes] == ["applied"]


def test_lists_of_any_length_are_answered_in_order(server):
    """A hundred and two briefs go in two batches; the one at fault says so in its place."""
    briefs = [dict(BRIEF) for _ in range(102)]
    briefs[101] = {**BRIEF, "limits": {"keep": ["moonrock"]}}
    with Formhold(server.url) as formhold:
        lines = list(formhold.reformulate_each(briefs))
    assert [line.index for line in lines] == list(range(102))
    assert [line.status for line in lines] == [200] * 101 + [422]


def test_refusals_and_absence_are_told_apart(server):
    """A refused request brings the problem with every fault; where nobody answers, it says so."""
    with Formhold(server.url) as formhold, pytest.raises(RequestRefused, match="moonrock") as told:
        formhold.reformulate({**BRIEF, "limits": {"keep": ["moonrock"]}})
    assert told.value.problem.status == 422
    with (
        Formhold("http://127.0.0.1:9", tries=1) as nobody,
        pytest.raises(Unreachable, match="No service answers"),
    ):
        nobody.reformulate(BRIEF)


class Moody:
    """A service that is busy, then away, then there; it remembers what it was sent."""

    def __init__(self, *moods: int | None) -> None:
        self.moods = list(moods)
        self.seen: list[httpx.Request] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        self.seen.append(request)
        mood = self.moods.pop(0)
        if mood is None:
            raise httpx.ReadError("gone", request=request)
        made = {"id": "cat_1", "title": "x", "revision": 1, "created_at": "2026-01-01T00:00:00Z"}
        return httpx.Response(mood, headers={"Retry-After": "0"}, content=json.dumps(made))


def test_a_busy_service_is_asked_again_under_the_same_key():
    """503 and a broken connection are tried again, as often as told, with one Idempotency-Key."""
    moody = Moody(503, None, 201)
    with Formhold("http://shop", transport=httpx.MockTransport(moody)) as formhold:
        assert formhold.make_catalogue("x").id == "cat_1"
    keys = {request.headers["idempotency-key"] for request in moody.seen}
    assert (len(moody.seen), len(keys)) == (3, 1)


def test_what_is_not_safe_to_repeat_is_sent_once():
    """A change without a key is not sent again after the connection broke."""
    moody = Moody(None, 200)
    with (
        Formhold("http://shop", transport=httpx.MockTransport(moody)) as formhold,
        pytest.raises(Unreachable),
    ):
        formhold.send("PUT", "/v1/recipes/rec_1", json={})
    assert len(moody.seen) == 1
