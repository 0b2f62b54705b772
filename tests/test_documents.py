"""Documents that are run: what they show is what happens."""

import doctest
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_the_worked_example_works():
    """Every line of the page that teaches the program gives the answer that stands below it."""
    page = ROOT / "solver" / "WORKED_EXAMPLE.md"
    failed, tried = doctest.testfile(str(page), module_relative=False, verbose=False)
    assert tried > 20
    assert failed == 0


def test_every_file_that_is_named_is_there():
    """Files and folders that DEVELOPERS.md names in code exist."""
    text = (ROOT / "DEVELOPERS.md").read_text()
    rooms = {"models", "solver", "service", "tests", "openapi_examples"}
    named = {
        word.rstrip("/")
        for word in text.split("`")[1::2]
        if "/" in word and " " not in word and word.split("/")[0] in rooms
    }
    assert named
    missing = {n for n in named if "*" not in n and "{" not in n and not (ROOT / n).exists()}
    assert not missing
