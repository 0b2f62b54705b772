"""Mutants: one small fault at a time is put into a scratch copy, and the nearest tests must see it.

    FORMHOLD_MUTANTS=20 make mutate

tries so many of each file, drawn the same way every time (`all` for every one). What survives is
printed; what is known to survive, and why, is `mutants_that_survive.md`.

mutmut, which is kept well, changes only what stands inside functions. Most of what decides an
answer here are tables at the top of a file (reaches, weights, costs, fillings), so the faults are
made here, from the syntax tree.
"""

import ast
import os
import random
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[2]
SEARCH = "tests/solver/search"
ANSWERS = "tests/solver/answers"
BRUTE = "tests/solver/test_brute_force.py"
FIGURES = "tests/solver/test_figures_of_the_contract.py"
WHOLE = "tests/solver/test_reformulate.py"
PROMISES = tuple(
    f"{ANSWERS}/test_{name}.py" for name in ("each_promise", "form_promises", "reaches", "recheck")
)
NEAREST = {
    "models/ratios.py": (FIGURES, WHOLE, *PROMISES, BRUTE),
    "models/limits.py": (FIGURES, WHOLE, f"{ANSWERS}/test_conflict.py", BRUTE),
    "models/batch.py": (f"{ANSWERS}/test_sizing.py", WHOLE, BRUTE),
    "solver/search/rack.py": (f"{SEARCH}/test_rack.py", FIGURES, WHOLE, BRUTE),
    "solver/search/options.py": (FIGURES, WHOLE, BRUTE),
    "solver/search/costs.py": (FIGURES, WHOLE, BRUTE),
    "solver/answers/recheck/promises.py": (*PROMISES, f"{ANSWERS}/test_sizing.py"),
    "solver/answers/recheck/pieces.py": (f"{ANSWERS}/test_sizing.py",),
    **{
        f"solver/answers/recheck/{name}.py": PROMISES
        for name in ("cost", "sums", "form", "handling")
    },
    "solver/answers/recheck/chance.py": ("tests/published/test_sheet_figures.py", *PROMISES),
    "solver/answers/recheck/weighing.py": (f"{ANSWERS}/test_lines_as_written.py", *PROMISES),
    "solver/answers/recheck/words.py": (f"{ANSWERS}/test_measures_read_again.py", *PROMISES),
}

_OPERATORS: dict[type, type] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.And: ast.Or,
    ast.Or: ast.And,
}
_NAMES = {"min": "max", "max": "min", "floor": "ceil", "ceil": "floor", "any": "all", "all": "any"}


class Fault(NamedTuple):
    """What is changed, the source that has it, and whether it is inside of a function."""

    where: str
    source: str
    inside: bool


def faults_in(source: str) -> Iterator[Fault]:
    """Yield each fault, one after the other."""
    tree = ast.parse(source)
    bodies = [node.body for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    inside = {id(node) for body in bodies for line in body for node in ast.walk(line)}
    for at, node in enumerate(_changeable(tree)):
        for how in _faults_of(node):
            spoilt = ast.parse(source)
            how(_changeable(spoilt)[at])
            where = f"line {node.lineno}: {ast.unparse(node)[:60]}"
            yield Fault(where, ast.unparse(spoilt), id(node) in inside)


def _changeable(tree: ast.Module) -> list[ast.AST]:
    return [node for node in ast.walk(tree) if not _only_says(node)]


def _only_says(node: ast.AST) -> bool:
    """Tell what has no line of its own, or only says something of types."""
    return not hasattr(node, "lineno") or isinstance(node, ast.AnnAssign | ast.arg)


def _faults_of(node: ast.AST) -> Iterator:
    match node:
        case ast.BinOp(op=op) if type(op) in _OPERATORS and not isinstance(op, ast.BitOr):
            yield lambda same: setattr(same, "op", _OPERATORS[type(same.op)]())
        case ast.BoolOp():
            yield lambda same: setattr(same, "op", _OPERATORS[type(same.op)]())
        case ast.Compare(ops=[op, *_]) if type(op) in _OPERATORS:
            yield lambda same: same.ops.__setitem__(0, _OPERATORS[type(same.ops[0])]())
        case ast.Constant(value=int() | float()) if not isinstance(node.value, bool):
            yield lambda same: setattr(same, "value", same.value + 1)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield lambda same: setattr(same, "op", ast.UAdd())
        case ast.Name(id=name) if name in _NAMES:
            yield lambda same: setattr(same, "id", _NAMES[same.id])
        case ast.If():
            yield lambda same: setattr(same, "test", ast.Constant(value=False))
        case _:
            return


def scratch_copy(folder: Path) -> Path:
    """Return a copy of the code and its tests that may be spoilt."""
    for name in ("models", "solver", "service", "tests", "openapi_examples"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
        shutil.copy(ROOT / name, folder / name)
    return folder


class Watch:
    """The tests nearest to a module, which see its faults or do not."""

    def __init__(self, folder: Path, file: str) -> None:
        self._module = file.removesuffix(".py").replace("/", ".")
        self._spoilt = folder / "spoilt.py"
        self._of = {way: self._started(way, folder, file) for way in ("loaded", "fresh")}

    def _started(self, way: str, folder: Path, file: str) -> "subprocess.Popen[str]":
        script = ROOT / "tests/benchmarks/forked_tests.py"
        return subprocess.Popen(
            [sys.executable, str(script), way, *NEAREST[file]],
            cwd=folder,
            env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "OPENBLAS_NUM_THREADS": "1"},
            text=True,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )

    def sees(self, source: str, *, inside: bool) -> bool:
        """Tell whether a test fails, or never ends, with `source` for the module."""
        self._spoilt.write_text(source)
        process = self._of["loaded" if inside else "fresh"]
        process.stdin.write(f"{self._module} {self._spoilt}\n")
        process.stdin.flush()
        answer = process.stdout.readline()
        assert answer in {"0\n", "1\n"}, "the tests cannot be run"
        return answer == "1\n"

    def end(self) -> None:
        for process in self._of.values():
            process.stdin.close()
            process.stdout.close()
            process.wait()


@pytest.mark.benchmark
@pytest.mark.parametrize("file", NEAREST)
def test_faults_are_seen(file, tmp_path, request):
    """How many of the faults of a file its nearest tests see, and which they do not."""
    many = os.environ.get("FORMHOLD_MUTANTS", "10")
    source = (ROOT / file).read_text()
    watch = Watch(scratch_copy(tmp_path), file)
    request.addfinalizer(watch.end)
    for inside in (True, False):
        assert not watch.sees(source, inside=inside), "the tests must pass without a fault"
    faults = list(faults_in(source))
    if many != "all" and int(many) < len(faults):
        faults = random.Random(file).sample(faults, int(many))
    print(f"\n{file}")
    seen = 0
    for fault in faults:
        if watch.sees(fault.source, inside=fault.inside):
            seen += 1
        else:
            print(f"  survives: {fault.where}", flush=True)
    print(f"  {seen} of {len(faults)} faults seen ({100 * seen / len(faults):.0f} %)", flush=True)
