"""A progress bar: one line on a terminal, a few lines elsewhere."""

import io

import pytest

from service.command_line.progress import Progress, progress_words
from tests.service.http.test_events import run_at


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("done", "rate", "left", "words"),
    [
        (0, None, None, f"[{'.' * 30}] 0 of 3"),
        (1, 2.0, 65.4, f"[{'#' * 10}{'.' * 20}] 1 of 3, 2.0 a second, 1:05 left"),
        (3, 0.04, 7384.0, f"[{'#' * 30}] 3 of 3, 0.0 a second, 2:03:04 left"),
    ],
)
def test_progress_in_words(done, rate, left, words):
    """How far, how fast, and how long it may still take."""
    run = run_at(done).model_copy(update={"recipes_per_second": rate, "seconds_left": left})
    assert progress_words(run) == words


def test_a_terminal_sees_one_line():
    """Each step is written over the last; what was longer is wiped out."""
    out = Terminal()
    progress = Progress(out)
    progress.show(run_at(1).model_copy(update={"seconds_left": 9.0}))
    progress.show(run_at(2))
    progress.end()
    first, second = out.getvalue().removeprefix("\r").split("\r")
    assert second.endswith("\n")
    assert len(second.rstrip("\n")) >= len(first)


def test_a_file_sees_a_line_for_each_tenth():
    """What is no terminal is not flooded: the same tenth is told once."""
    out = io.StringIO()
    progress = Progress(out)
    for done in (0, 0, 1, 1, 3):
        progress.show(run_at(done))
    progress.end()
    assert out.getvalue().count("\n") == 3
