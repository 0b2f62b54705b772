"""Mutants: one small fault at a time is put into a scratch copy, and the nearest tests must see it.

    FORMHOLD_MUTANTS=20 make mutate

tries so many of each file, drawn the same way every time (`all` for every one). What survives is
printed; what is known to survive, and why, is `mutants_that_survive.md`.

mutmut, which is kept well, changes only what stands inside functions. Most of what decides an
answer here are tables at the top of a file (reaches, weights, costs, fillings), so the faults are
made here, from the syntax tree.
"""

import ast
import copy
import os
import random
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
BRUTE, RECHECK = "tests/solver/test_brute_force.py", "tests/solver/answers/test_recheck.py"
ANSWERS = "tests/solver/test_reformulate.py"
NEAREST = {
    "models/ratios.py": (ANSWERS, RECHECK, BRUTE),
    "models/limits.py": (ANSWERS, BRUTE, "tests/solver/answers/test_conflict.py"),
    "models/batch.py": ("tests/solver/answers/test_sizing.py", ANSWERS, BRUTE),
    "solver/search/rack.py": ("tests/solver/search/test_rack.py", ANSWERS, BRUTE),
    "solver/search/options.py": (ANSWERS, BRUTE),
    "solver/search/costs.py": ("tests/solver/test_figures_of_the_contract.py", ANSWERS, BRUTE),
    "solver/answers/recheck/promises.py": (RECHECK, "tests/solver/answers/test_sizing.py"),
    "solver/answers/recheck/sums.py": (RECHECK, BRUTE),
    "solver/answers/recheck/words.py": (RECHECK, BRUTE),
    "solver/answers/recheck/weighing.py": (RECHECK, BRUTE),
    "solver/answers/recheck/pieces.py": ("tests/solver/answers/test_sizing.py",),
}
TOO_LONG_SECONDS = 300

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


def faults_in(source: str) -> Iterator[tuple[str, str]]:
    """Yield where a fault is and the source that has it, one after the other."""
    tree = ast.parse(source)
    nodes = [node for node in ast.walk(tree) if not _only_says(node)]
    for at, node in enumerate(nodes):
        for how in _faults_of(node):
            spoilt = copy.deepcopy(tree)
            same = [other for other in ast.walk(spoilt) if not _only_says(other)][at]
            how(same)
            ast.fix_missing_locations(spoilt)
            yield f"line {node.lineno}: {ast.unparse(node)[:60]}", ast.unparse(spoilt)


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


def is_seen(folder: Path, tests: tuple[str, ...]) -> bool:
    """Tell whether a test fails, or never ends."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        done = subprocess.run(
            command, cwd=folder, capture_output=True, timeout=TOO_LONG_SECONDS, env=environment
        )
    except subprocess.TimeoutExpired:
        return True
    return done.returncode != 0


@pytest.mark.benchmark
@pytest.mark.parametrize("file", NEAREST)
def test_faults_are_seen(file, tmp_path):
    """How many of the faults of a file its nearest tests see, and which they do not."""
    many = os.environ.get("FORMHOLD_MUTANTS", "10")
    folder, source = scratch_copy(tmp_path), (ROOT / file).read_text()
    assert not is_seen(folder, NEAREST[file]), "the tests must pass without a fault"
    faults = list(faults_in(source))
    if many != "all" and int(many) < len(faults):
        faults = random.Random(file).sample(faults, int(many))
    survivors = []
    for where, spoilt in faults:
        (folder / file).write_text(spoilt)
        if not is_seen(folder, NEAREST[file]):
            survivors.append(where)
    seen = len(faults) - len(survivors)
    print(f"\n{file}: {seen} of {len(faults)} faults seen ({100 * seen / len(faults):.0f} %)")
    for where in survivors:
        print(f"  survives: {where}")
