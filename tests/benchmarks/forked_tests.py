"""Runs tests again and again, each time in a fork of a process that has the libraries loaded.

    python forked_tests.py

in the folder whose tests they are. A line on standard input names the tests; a line on standard
output answers with the exit status of pytest, or with the signal that ended it as a negative
number. What is under test is imported in the fork alone, so it may change between lines.
"""

import importlib
import os
import signal
import sys

TOO_LONG_SECONDS = 300
LIBRARIES = (
    *("numpy", "scipy.special", "scipy.optimize", "highspy", "pulp", "pydantic", "fastapi"),
    *("httpx", "sqlalchemy", "psycopg", "hypothesis", "pytest", "_pytest.assertion.rewrite"),
)
OPTIONS = (
    *("-x", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", "-p", "no:xdist"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),  # some libraries are plugins of it too
)


def main() -> None:
    for name in LIBRARIES:
        importlib.import_module(name)
    sys.path.insert(0, os.getcwd())  # noqa: PTH109
    for line in sys.stdin:
        print(status_of(line.split()), flush=True)


def status_of(tests: list[str]) -> int:
    """Run the tests in a fork; a fault that makes them go round for ever ends with an alarm."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    signal.alarm(TOO_LONG_SECONDS)
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    os._exit(int(sys.modules["pytest"].main([*OPTIONS, *tests])))


if __name__ == "__main__":
    main()
