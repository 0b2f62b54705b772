"""The walk that DEVELOPERS.md tells of: the files that one request enters, in the order told."""

import re
import threading
from pathlib import Path

from service.app import create_app
from tests.service.conftest import RunningApp

ROOT = Path(__file__).parents[2]
CODE = tuple(f"{ROOT}/{package}/" for package in ("models", "solver", "service"))
BRIEF = {
    "recipe": {
        "lines": [
            {"text": "3 1/2 cups all-purpose flour"},
            {
                "text": "1 cup (229 g) unsalted butter"
            },  # not read before: nothing is remembered of it
            {"text": "1 cup sugar"},
            {"text": "1 1/2 tsp baking soda"},
        ]
    },
    "target": {
        "form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
        "thickness_mm": 4,
    },
}
ABOUT = 10
"""What the figure in the text may be out by before somebody has to count again."""


class Walk:
    """Notes each file of ours in which a function is called, on threads begun after it."""

    def __init__(self) -> None:
        self.entered: dict[str, None] = {}
        self.begun = False

    def note(self, frame, event, _) -> None:
        file = frame.f_code.co_filename
        if self.begun and event == "call" and file.startswith(CODE):
            self.entered.setdefault(file.removeprefix(f"{ROOT}/"))


def test_the_walk_of_a_request_is_the_one_that_is_told(settings):
    """A brief enters the files that DEVELOPERS.md names, in that order, and as many as it says."""
    text = (ROOT / "DEVELOPERS.md").read_text()
    told = text.split("One request's walk")[1].split("\n\n[")[0]
    files = re.findall(r"`((?:models|solver|service)/[a-z_/]+\.py)`", told)
    (count,) = re.findall(r"enters (\d+) files", told)
    walk = Walk()
    threading.setprofile(walk.note)
    try:
        with RunningApp(create_app(settings)) as app:
            walk.begun = True
            answer = app.post("/v1/reformulations", json=BRIEF).json()
            walk.begun = False
    finally:
        threading.setprofile(None)
    assert answer["outcome"] == "reformulated"
    stops = list(dict.fromkeys(files))
    assert [file for file in walk.entered if file in stops] == stops
    assert abs(len(walk.entered) - int(count)) <= ABOUT, len(walk.entered)
