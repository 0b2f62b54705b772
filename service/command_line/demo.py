"""A demonstration: a service of its own, one dough sent to it over HTTP, and the answer in words.

It begins and ends by itself and leaves nothing behind.
"""

import json
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Timer
from typing import Any

from models.outcome import Outcome
from service.command_line.asking import Unreachable, ask
from service.command_line.tables import outcome_words
from service.questions.question import REFORMULATION
from service.settings import Settings

START_SECONDS = 60

LINES = (
    "3 1/2 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 egg",
    "3/4 cup packed brown sugar",
    "1/3 cup molasses",
    "1 1/2 tsp baking soda",
    "1 tbsp ground ginger",
    "1/2 tsp salt",
)
"""The ginger dough of the lantern makers of Wickhollow; too rich and too raised to stand."""

REQUEST: dict[str, Any] = {
    "recipe": {"title": "Lantern ginger dough", "lines": [{"text": line} for line in LINES]},
    "window": {
        "flour_to_fat": {"min": 2.1, "max": 2.4},
        "soda_equivalent_percent": {"max": 1.0},
        "moisture_percent": {"min": 18, "max": 30},
    },
    "limits": {
        "keep": ["molasses"],
        "max_flour_change_percent": 15,
        "liquid_per_flour": {"min": 0.3},
    },
    "measures": "us",
}

_FOR_ONE = "It is for one person on this machine, so it asks for no API key."


def demonstrate(show: Callable[[Iterable[str]], None]) -> int:
    """Run the demonstration, showing it line by line; return an exit code.

    Raises Unreachable where the service does not start.
    """
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # so that even then it cleans up
    with tempfile.TemporaryDirectory() as folder, _service(Path(folder)) as url:
        show([f"A service of its own runs at {url}.", _FOR_ONE, "", REQUEST["recipe"]["title"], ""])
        show(f"  {line}" for line in LINES)
        reply = ask(REFORMULATION, REQUEST, url, Settings.solve_seconds)
        if reply.status != 200:
            raise Unreachable(f"The service refused the demonstration: {reply.content.decode()}")
        show(["", *outcome_words(Outcome.model_validate_json(reply.content)), ""])
    show(_how_to_ask_yourself())
    return 0


@contextmanager
def _service(folder: Path) -> Iterator[str]:
    """Yield the address of a service of its own, and stop it however the demonstration ends."""
    database = f"sqlite:///{folder / 'demo.sqlite3'}"
    command = [sys.executable, "-m", "service", "serve", "--port", "0", "--database", database]
    with (folder / "log").open("w+") as log:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=log, text=True)
        try:
            yield _address(process, folder / "log")
        finally:
            process.terminate()
            process.wait()
            if process.stdout is not None:
                process.stdout.close()


def _address(process: "subprocess.Popen[str]", log: Path) -> str:
    assert process.stdout is not None
    too_late = Timer(START_SECONDS, process.kill)
    too_late.start()
    try:
        line = process.stdout.readline()  # it comes once the service is ready, or not at all
    finally:
        too_late.cancel()
    if not line:
        raise Unreachable(f"The service did not start:\n{log.read_text()}")
    return line.split()[-1]


def _how_to_ask_yourself() -> list[str]:
    body = json.dumps(REQUEST, indent=1)
    return [
        "That service has stopped. To ask one yourself, start it with `python -m service`, then:",
        "",
        f"curl http://127.0.0.1:{Settings.port}{REFORMULATION.path} \\",
        "  -H 'Content-Type: application/json' \\",
        f"  -d '{body}'",
    ]
