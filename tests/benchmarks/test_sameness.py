"""The same bytes for the same request: on a file and on PostgreSQL, from one process and from four,
for any order of hashes, with the processor's newer instructions and without.

Prints how many answers were compared; fails where a byte differs. Run with
`.venv/bin/python -m pytest -m benchmark -s tests/benchmarks/test_sameness.py`; RECIPES sets how
many generated doughs are asked beside the recorded requests (40 unless told).
"""

import asyncio
import os

import pytest
from numpy._core._multiarray_umath import __cpu_dispatch__

from tests.benchmarks.serving import Line, load, recorded, service, written
from tests.benchmarks.test_overload import BRIEF
from tests.generated_recipes import generated_recipe
from tests.service.databases import fresh_database

RECIPES = int(os.environ.get("RECIPES", "40"))
PLAIN = {"NPY_DISABLE_CPU_FEATURES": " ".join(__cpu_dispatch__), "OPENBLAS_CORETYPE": "Nehalem"}
WAYS = {
    "a file, one process": ("sqlite", (), {"PYTHONHASHSEED": "0"}),
    "PostgreSQL": ("postgresql", (), {"PYTHONHASHSEED": "1"}),
    "four processes": ("sqlite", ("--processes", "4"), {"PYTHONHASHSEED": "4242"}),
    "without newer instructions": ("sqlite", (), {"PYTHONHASHSEED": "7", **PLAIN}),
}

pytestmark = pytest.mark.benchmark


def requests() -> list[tuple[str, bytes]]:
    asked = [
        (pair["name"], written(pair["method"], pair["path"], pair.get("body")))
        for pair in recorded("GET", "POST")
        if pair["name"] != "unfinished" and not isinstance(pair.get("body"), str)
    ]
    for seed in range(RECIPES):
        brief = {"recipe": generated_recipe(seed), **BRIEF}
        asked.append((f"dough {seed}", written("POST", "/v1/reformulations", brief)))
    return asked


async def answers(port: int, asked: list[tuple[str, bytes]]) -> dict[str, tuple[int, bytes]]:
    """Return every answer; each is asked for on a connection of its own."""
    found = {}
    for name, request in asked:
        line = Line(port)
        status, _, body = await line.ask(request)
        found[name] = status, body
        line.close()
    return found


def test_the_same_bytes_everywhere(tmp_path):
    asked, first = requests(), None
    print()
    for way, (kind, arguments, environment) in WAYS.items():
        patient = ("--solve-seconds", "60", "--requests-per-minute", "0", *arguments)
        with (
            fresh_database(kind, tmp_path) as url,
            service(url, *patient, environment=environment) as (port, _),
        ):
            found = asyncio.run(answers(port, asked))
        first = first or found
        different = [name for name in found if found[name] != first[name]]
        print(f"{way}: {len(found) - len(different)} of {len(found)} the same ({load()})")
        assert not different, different
