"""The README's request, sent as it stands, gives the README's answer."""

import json
import re
from pathlib import Path
from typing import Any

from models.brief import Brief
from solver.reformulate import reformulate

README = (Path(__file__).parents[1] / "README.md").read_text()


def contains(answer: Any, shown: Any) -> bool:
    """Tell whether everything shown stands in the answer, members left out aside."""
    if isinstance(shown, dict):
        return all(name in answer and contains(answer[name], shown[name]) for name in shown)
    return bool(answer == shown)


def test_the_request_gives_the_answer_shown():
    """Copied from the page: the two moved lines and the proof are the real ones."""
    (request,) = re.findall(r"/v1/reformulations .*? -d '(\{.*?\n\})'", README, re.DOTALL)
    (shown,) = re.findall(r"```json\n(\{.*?\})\n```", README, re.DOTALL)
    answer = json.loads(
        reformulate(Brief.model_validate_json(request)).model_dump_json(by_alias=True)
    )
    expected = json.loads(shown)
    moved = [line for line in answer["lines"] if line["moved"]]
    assert len(moved) == len(expected["lines"])
    for line, wanted in zip(moved, expected["lines"], strict=True):
        assert contains(line, wanted), (line, wanted)
    assert contains(answer["proof"], expected["proof"])
    assert answer["outcome"] == expected["outcome"]


def test_every_make_target_named_exists():
    """A command that the pages name can be typed."""
    developers = (Path(__file__).parents[1] / "DEVELOPERS.md").read_text()
    makefile = (Path(__file__).parents[1] / "Makefile").read_text()
    named = set(re.findall(r"^(?:make|`make) ([a-z]+)", README + "\n" + developers, re.MULTILINE))
    assert named
    assert all(re.search(rf"^{target}:", makefile, re.MULTILINE) for target in named)
