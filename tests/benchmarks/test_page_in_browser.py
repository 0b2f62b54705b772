"""The page under the hand: from an edit to its new figures on the screen, beside the API's call.

`make bench` prints it with the others; alone it is `pytest -m benchmark -s
tests/benchmarks/test_page_in_browser.py`. An edit is timed in Chromium, from the event to the frame
in which the new headline stands; the call is the one that answers the same, from Python, in the
same run. EDITS sets how many of each (20 unless told). Asserts nothing about time.
"""

import os
import statistics
import time

import httpx
import pytest

from tests.benchmarks.serving import load
from tests.end_to_end.conftest import server as server
from tests.end_to_end.visiting import LINES, until, visiting
from tests.end_to_end.visiting import chromium as chromium

EDITS = int(os.environ.get("EDITS", "20"))
FORM = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150, "length_mm": 100}

pytestmark = pytest.mark.benchmark

TIMED = """([id, value, all]) => new Promise(done => {
  const field = document.getElementById(id), began = performance.now();
  const told = () => document.querySelector('#h-answer').textContent
    + document.querySelector('.cap.r').textContent;
  const before = told();
  const seen = new MutationObserver(() => {
    if (all ? document.querySelector('.stale') : told() === before) return;
    seen.disconnect();
    requestAnimationFrame(() => done(performance.now() - began));
  });
  seen.observe(document.getElementById('main'), {subtree: true, childList: true, attributes: true});
  field.value = value;
  field.dispatchEvent(new Event('input', {bubbles: true}));
})"""


def _called(client, path, asked):
    began = time.perf_counter()
    answer = client.post(path, json=asked)
    assert answer.status_code == 200, answer.text
    return 1000 * (time.perf_counter() - began)


def _told(name, edits, calls):
    edit, call = statistics.median(edits), statistics.median(calls)
    print(f"{name}: {edit:.0f} ms, the call {call:.0f} ms, {edit / call:.2f} times it ({load()})")


def test_an_edit_beside_its_call(chromium, server):
    """Print both medians and their ratio: for a slider, and for a field of the question."""
    recipe = {"lines": [{"text": line} for line in LINES.splitlines()]}
    with httpx.Client(base_url=server.url, timeout=30) as client, visiting(chromium, server) as who:
        page = who.go("/?example=lantern")
        page.wait_for_load_state("networkidle")
        moved, judged, first, typed, answered = [], [], [], [], []
        for edit in range(EDITS):
            thickness = 2 + 0.07 * edit
            moved.append(page.evaluate(TIMED, ["hand.thickness", f"{thickness:.2f}", False]))
            target = {"form": FORM, "thickness_mm": thickness}
            asked = {"recipe": recipe, "edits": [], "target": target}
            judged.append(_called(client, "/v1/what-if", asked))
        for edit in range(EDITS):
            first.append(page.evaluate(TIMED, ["cylinder.wrap_degrees", str(70 + 3 * edit), False]))
            until(page, "!document.querySelector('.stale')", 60)
        for edit in range(EDITS):
            wrap = 120 + 2 * edit
            typed.append(page.evaluate(TIMED, ["cylinder.wrap_degrees", str(wrap), True]))
            form = {**FORM, "wrap_degrees": wrap}
            target = {"form": form, "thickness_mm": 4, "may_roll_to_mm": 3, "may_chill": True}
            brief = {"recipe": recipe, "target": target, "limits": {"keep": ["molasses"]}}
            answered.append(
                _called(client, "/v1/reformulations", brief) + _called(client, "/v1/ladders", brief)
            )
        _told("a slider, and a judgement", moved, judged)
        _told("a field's first figures, and a judgement", first, judged)
        _told("a field, and an answer with its ladder", typed, answered)
        assert len(moved) == len(typed) == EDITS
