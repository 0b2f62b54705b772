"""The table of speed: an answer beside what other solvers need for its program, in one run.

`make bench` prints it with the others; alone it is `pytest -m benchmark -s
tests/benchmarks/test_speed_table.py`. Ratios are steadier than times: each recipe is solved by all,
one after the other, on one core, and the machine's load is printed with them. RECIPES sets how many
doughs are generated (300 unless told), DOUGHS how many ladders are climbed (30 unless told).
Asserts that no solver finds a cheaper answer, and that deadlines hold; nothing about time besides.
"""

import json
import os
import random
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack

import httpx
import numpy as np
import pytest

from models.brief import Brief
from models.ladder import LadderBrief
from solver.ladder import climb
from solver.mechanics.chance import chance_percents, law_by
from solver.mechanics.dough import substances_of
from solver.mechanics.experience import unusual
from solver.reformulate import reformulate
from solver.search.problem import Problem
from tests.benchmarks.test_reformulation_costs import DEADLINE, bare_run_seconds
from tests.end_to_end.conftest import running
from tests.generated_recipes import generated_brief, generated_long_brief, generated_recipe
from tests.published.test_solvers_agree import EQUAL, by_cbc, by_highs, by_scipy

RECIPES = int(os.environ.get("RECIPES", "300"))
DOUGHS = int(os.environ.get("DOUGHS", "30"))
SHARES = (50, 90, 99)
JSON = {"Content-Type": "application/json"}

pytestmark = pytest.mark.benchmark


def seconds_of(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def show(name: str, ratios: list[float]) -> None:
    figures = ", ".join(f"{np.percentile(ratios, share):.2f}" for share in SHARES)
    print(f"{name}: median, p90, p99 {figures} of {len(ratios)}")


def load() -> str:
    return "load {:.1f} {:.1f} {:.1f}".format(*os.getloadavg())


def answered(brief: Brief) -> object:
    began = time.perf_counter()
    return reformulate(brief, lambda: DEADLINE - (time.perf_counter() - began))


def test_an_answer_beside_other_solvers():
    """A whole reformulation over each solver's time for the program alone."""
    others = {"scipy.optimize.milp": by_scipy, "PuLP, CBC": by_cbc, "PuLP, HiGHS": by_highs}
    ratios: dict[str, list[float]] = {}
    ours, bares = 0.0, 0.0
    answered(generated_brief(10**6))
    print(load())
    for seed in range(RECIPES):
        brief = generated_brief(seed)
        began = time.perf_counter()
        outcome = answered(brief)
        took = time.perf_counter() - began
        program = Problem.of(brief).program
        bare = bare_run_seconds(program)
        ours, bares = ours + took, bares + bare
        kind = "infeasible, explained" if outcome.outcome == "infeasible" else "solved"
        ratios.setdefault(f"bare HiGHS, {kind}", []).append(took / bare)
        if outcome.proof is None or outcome.proof.status != "optimal":
            continue
        for name, solve in others.items():
            began = time.perf_counter()
            cost = solve(program)
            ratios.setdefault(name, []).append(took / (time.perf_counter() - began))
            assert cost is None or outcome.cost.total <= cost + EQUAL
    for name, found in ratios.items():
        show(name, found)
    print(f"recipes a second against bare HiGHS: {bares / ours:.1f} times as many; {load()}")


def test_an_answer_over_http(tmp_path):
    """The same questions on one kept connection, over the bare solver's time in this process."""
    ratios, light = [], []
    with ExitStack() as stack:
        database = f"sqlite:///{tmp_path}/table.sqlite3"
        command = [sys.executable, "-m", "service", "serve", "--port", "0", "--database", database]
        address = stack.enter_context(running(command, tmp_path)).url
        client = stack.enter_context(httpx.Client(base_url=address, timeout=30))
        for seed in range(min(RECIPES, 100)):
            asked = generated_brief(seed)
            body = asked.model_dump_json(by_alias=True, exclude_none=True, exclude_unset=True)
            began = time.perf_counter()
            response = client.post("/v1/reformulations", content=body, headers=JSON)
            took = time.perf_counter() - began
            assert response.status_code in {200, 503}, response.text
            ratios.append(took / bare_run_seconds(Problem.of(asked).program))
            light.append(1000 * seconds_of(lambda: client.get("/livez")))
    show("over HTTP, against bare HiGHS", ratios)
    show("a light GET, ms", light)


@pytest.mark.parametrize("lines", [8, 30, 200])
def test_a_curve_over_the_lines(lines):
    """Longer recipes take longer, without a cliff; the deadline holds at any length."""
    took = [seconds_of(lambda s=s: answered(generated_long_brief(s, lines))) for s in (1, 2, 3)]
    print(f"{lines} lines: {' '.join(f'{each:.2f}' for each in took)} s; {load()}")
    assert max(took) <= DEADLINE + 0.5


@pytest.mark.parametrize("kilograms", [1, 10, 100])
def test_a_curve_over_the_options(kilograms):
    """A dough weighed gram by gram has some hundred options a kilogram, and as many more."""
    lines = [("all-purpose flour", 500), ("unsalted butter", 260), ("granulated sugar", 200)]
    recipe = {
        "lines": [
            {"ingredient": name, "quantity": kilograms * grams, "unit": "g"}
            for name, grams in (*lines, ("baking soda", 5))
        ]
    }
    window = {"flour_to_fat": {"min": 2.1}, "soda_equivalent_percent": {"max": 0.7}}
    asked = {"recipe": recipe, "window": window, "measures": "scale"}
    brief = Brief.model_validate_json(json.dumps(asked))
    options = sum(len(costs) for costs in Problem.of(brief).program.costs)
    took = seconds_of(lambda: answered(brief))
    print(f"{options} options: {took:.2f} s; {load()}")
    assert took <= DEADLINE + 0.5


def ladder_brief(seed: int) -> LadderBrief:
    """Return a dough that is over its limit on its form, and within experience."""
    rng = random.Random(f"ladder {seed}")
    while True:
        form = {
            "kind": "cylinder",
            "diameter_mm": rng.choice([60, 70, 80, 100]),
            "wrap_degrees": rng.choice([120, 150, 170]),
        }
        target = {"form": form, "thickness_mm": rng.choice([4, 5])}
        asked = {"recipe": generated_recipe(rng.randrange(10**6)), "target": target}
        brief = LadderBrief.model_validate_json(json.dumps(asked))
        over = chance_percents(law_by(brief.target, None), substances_of(brief.formula))[0] > 20
        if over and not unusual(brief.formula, brief.target):
            return brief


def test_how_long_a_ladder_takes():
    """Rungs and a front of twelve points, over all sheets: wall clock and this process's own."""
    walls, owns = [], []
    for seed in range(DOUGHS):
        brief = ladder_brief(seed)
        own = time.process_time()
        walls.append(seconds_of(lambda brief=brief: climb(brief, lambda: 60.0)))
        owns.append(time.process_time() - own)
    for name, times in (("wall clock", walls), ("processor", owns)):
        median, p95 = np.percentile(times, [50, 95])
        print(f"a ladder, {name}: median {median:.2f} s, p95 {p95:.2f} s of {DOUGHS}; {load()}")
