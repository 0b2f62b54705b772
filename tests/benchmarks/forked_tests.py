"""Runs the same tests again and again, each time in a fork, with one module in it changed.

    python forked_tests.py loaded|fresh TEST...

in the folder whose tests they are. A line on standard input is the name of a module and a file with
its new source; a line on standard output answers 1 where a test fails or never ends, else 0.

`loaded` has everything imported and the tests collected: in the fork the functions and methods of
the module are given their new bodies. `fresh` has only the libraries and imports what is under test
in the fork, for changes outside of functions.
"""

import importlib
import inspect
import os
import shutil
import signal
import sys
import types
from functools import cached_property
from pathlib import Path

import pytest
from _pytest.main import pytest_runtestloop as run_all

TOO_LONG_SECONDS = 300
LIBRARIES = ("numpy", "scipy.special", "scipy.optimize", "highspy", "pulp", "pydantic")
OPTIONS = (
    *("-x", "-q", "-s", "-p", "no:cacheprovider", "-p", "no:randomly", "-p", "no:xdist"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),  # some libraries are plugins of it too
)


class Loaded:
    """Takes the place of running the tests once."""

    def __init__(self, answers) -> None:
        self._answers = answers

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        def spoilt_run(name: str, source: Path) -> bool:
            give_new_bodies(sys.modules[name], source)
            try:
                run_all(session)
            except session.Failed:
                return True
            return session.testsfailed > 0

        answer_each(self._answers, spoilt_run)
        return True


def answer_each(answers, run) -> None:
    for line in sys.stdin:
        name, source = line.split()
        print(seen(lambda name=name, source=source: run(name, Path(source))), file=answers)
        answers.flush()


def seen(run) -> int:
    """Return 1 where `run` tells so, falls or never ends, in a fork of its own."""
    child = os.fork()
    if child:
        return int(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0)
    signal.alarm(TOO_LONG_SECONDS)
    try:
        os._exit(int(run()))
    except BaseException:
        os._exit(1)


def fresh_run(name: str, source: Path) -> bool:
    shutil.copy(source, Path(*name.split(".")).with_suffix(".py"))
    return pytest.main([*OPTIONS, *sys.argv[2:]]) != 0


def give_new_bodies(module: types.ModuleType, source: Path) -> None:
    """Give each function of `module` the body that it has in `source`."""
    new = types.ModuleType(module.__name__)
    sys.modules[module.__name__] = new  # where dataclasses look their names up
    exec(compile(source.read_text(), str(module.__file__), "exec"), new.__dict__)
    sys.modules[module.__name__] = module
    for name, old in vars(module).items():
        if getattr(old, "__module__", None) == module.__name__:
            _give(old, getattr(new, name, None))


def _give(old: object, new: object) -> None:
    if isinstance(old, type):
        for name, member in vars(old).items():
            _give(member, vars(new).get(name))
        return
    for way in ("fget", "func", "__func__"):
        if isinstance(old, property | cached_property | classmethod | staticmethod):
            old, new = getattr(old, way, old), getattr(new, way, new)
    old, new = inspect.unwrap(old), inspect.unwrap(new)
    if isinstance(old, types.FunctionType) and isinstance(new, types.FunctionType):
        old.__code__ = new.__code__


def main() -> None:
    answers = os.fdopen(os.dup(1), "w")
    os.dup2(os.open(os.devnull, os.O_RDWR), 1)
    sys.path.insert(0, str(Path.cwd()))
    for name in LIBRARIES:
        importlib.import_module(name)
    if sys.argv[1] == "loaded":
        pytest.main([*OPTIONS, *sys.argv[2:]], plugins=[Loaded(answers)])
    else:
        answer_each(answers, fresh_run)


if __name__ == "__main__":
    main()
