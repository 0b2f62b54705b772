"""Extreme numbers in every numeric member of every question: an answer or a refusal, never a fault.

Prints what came, by status; fails on a 5xx that is no 503. Run with
`.venv/bin/python -m pytest -m benchmark -s tests/benchmarks/test_extreme_numbers.py`; REQUESTS sets
how many (20,000 unless told), SEED where they begin.
"""

import json
import os
import random
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest

from tests.benchmarks.serving import load, recorded, service

REQUESTS = int(os.environ.get("REQUESTS", "20000"))
SEED, FIRST = (int(os.environ.get(name, "1")) for name in ("SEED", "FIRST"))

_WRITTEN = """
    0 -0.0 1 -1 2 3 0.5 1e-320 5e-324 2.2250738585072014e-308 1e-300 1e-17 1e-9 1e-6 0.001
    0.0099999999999999 0.1 0.30000000000000004 99.999 100 100.00000000000001 360 1000 9999.99 1e5
    999999 1e6 1000000.1 1e9 2147483648 1e15 9007199254740993 1e17 1e100 1.7976931348623157e308
    1e309 -1e309 -1e-320 -1e6"""
NUMBERS = _WRITTEN.split()
NUMBERS += ["1" + "0" * 400, "0." + "0" * 400 + "1", "1" + "7" * 30]
AMOUNTS = ["1000000 tsp", "1e-320 g", "0.0001 g", "999999 kg", "1/1000000 cup", "0 g", "1e6 lb",
           "1 000 000 g", "1/3 tsp", "99999999999 g"]  # fmt: skip

TOO_LONG_SECONDS = 20

pytestmark = pytest.mark.benchmark


def leaves(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield where the numbers are, and the lines of text that begin with one."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, (*at, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from leaves(inner, (*at, index))
    elif is_number(value) or (isinstance(value, str) and value[:1].isdigit()):
        yield at


def is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


MORE = {
    "window": ["flour_to_fat", "soda_equivalent_percent", "moisture_percent", "liquid_per_flour",
               "wet_per_flour", "sugar_percent", "egg_percent", "crack_chance_percent"],
}  # fmt: skip


def widened(body: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """Return `body` with numeric members that it leaves out."""
    body = json.loads(json.dumps(body))
    if "window" in body or "target" in body:
        ratio = chance.choice(MORE["window"])
        bounds = body.setdefault("window", {}).setdefault(ratio, {})
        bounds[chance.choice(["min", "max"])] = 2.0
    if "recipe" in body and chance.random() < 0.3 and "lines" in body["recipe"]:
        unit = chance.choice(["g", "kg", "tsp", "cup", "each", "oz", "ml"])
        line = {"ingredient": chance.choice(["salt", "all-purpose flour", "egg", "baking soda"])}
        body["recipe"]["lines"].append({**line, "quantity": 1.0, "unit": unit})
    if "recipe" in body and chance.random() < 0.2:
        body["batch"] = {chance.choice(["factor", "dough_grams", "flour_grams", "pieces"]): 2}
    if "limits" in body and chance.random() < 0.3:
        body["limits"]["max_flour_change_percent"] = 10.0
        body["limits"]["max_change_percent"] = {"all-purpose flour": 10.0}
    if chance.random() < 0.2:
        body["weights"] = {chance.choice(["flour", "fat", "sugar", "egg"]): 1.0}
    if "target" in body and chance.random() < 0.3:
        body["target"]["may_roll_to_mm"] = 2.0
        body["round_test"] = {"diameter_mm": 60, "thickness_mm": 5, "grew_mm": 3.5}
    return body


def disturbed(body: dict[str, Any], chance: random.Random) -> bytes:
    """Return `body` as JSON with one to three of its numbers put to an extreme."""
    body = widened(body, chance)
    places = list(leaves(body))
    marks: dict[str, str] = {}
    for number, place in enumerate(chance.sample(places, min(len(places), chance.randint(1, 3)))):
        holder = body
        for step in place[:-1]:
            holder = holder[step]
        standing = holder[place[-1]]
        if isinstance(standing, str):
            words = standing.split(" ")
            holder[place[-1]] = " ".join([chance.choice(AMOUNTS), *words[-2:]])
        else:
            mark = f"@{number}@"
            holder[place[-1]] = mark
            marks[f'"{mark}"'] = chance.choice(NUMBERS)
    text = json.dumps(body)
    for mark, extreme in marks.items():
        text = text.replace(mark, extreme)  # as text: JSON's own numbers know more than Python's
    return text.encode()


def test_extreme_numbers_end_in_an_answer_or_a_refusal(tmp_path):
    questions = [pair for pair in recorded("POST") if isinstance(pair.get("body"), dict)]
    statuses: Counter[int] = Counter()
    faults: list[str] = []
    began, slowest = time.monotonic(), 0.0

    def ask(number: int) -> None:
        nonlocal slowest
        chance = random.Random(f"{SEED} {number}")
        pair = chance.choice(questions)
        body = disturbed(pair["body"], chance)
        asked, headers = time.monotonic(), {"Content-Type": "application/json"}
        try:
            status = client.post(pair["path"], content=body, headers=headers).status_code
        except httpx.HTTPError:
            status = 0
        seconds = time.monotonic() - asked
        slowest = max(slowest, seconds)
        statuses[status] += 1
        if (status >= 500 and status != 503) or status == 0 or seconds > TOO_LONG_SECONDS / 2:
            faults.append(
                f"{number} {status} {seconds:.1f} s {pair['path']} {body.decode()[:2000]}"
            )
            print(faults[-1], flush=True)

    database, pressed = f"sqlite:///{tmp_path}/f.sqlite3", ("--solve-seconds", "0.4")
    with (
        service(database, *pressed, "--workers", "2") as (port, _),
        httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=TOO_LONG_SECONDS) as client,
        ThreadPoolExecutor(3) as crowd,
    ):
        list(crowd.map(ask, range(FIRST, FIRST + REQUESTS)))
    seconds = time.monotonic() - began
    print(f"\n{sum(statuses.values()):,} requests in {seconds:.0f} s: {dict(statuses)}")
    print(f"slowest {slowest:.1f} s (deadline 0.4 s, three askers, {load()})")
    assert not faults
