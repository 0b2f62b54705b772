"""How often the least cost under a limit on the chance is proved in one, five and thirty seconds.

Prints; asserts nothing about time. Run with `make bench`; DOUGHS sets how many are generated (300
unless told). Each is over its limit as written, on a form and at a thickness that are fixed.
"""

import json
import os
import random
import time

import pytest

from models.brief import Brief
from solver.mechanics.chance import chance_percents, law_by
from solver.mechanics.dough import substances_of
from solver.search.answer import DeadlineStruck
from solver.search.problem import Problem
from tests.generated_recipes import generated_recipe

DOUGHS = int(os.environ.get("DOUGHS", "300"))
DEADLINE = 30.0

pytestmark = pytest.mark.benchmark


def over_its_limit(seed: int) -> Brief:
    """Return a brief whose dough breaks the chance that its form allows."""
    rng = random.Random(f"over {seed}")
    while True:
        wrap, diameter = rng.choice([120, 150, 170]), rng.choice([60, 70, 80, 100])
        form = {"kind": "cylinder", "diameter_mm": diameter, "wrap_degrees": wrap}
        target = {"form": form, "thickness_mm": rng.choice([3, 4, 5])}
        asked = {"recipe": generated_recipe(rng.randrange(10**6)), "target": target}
        brief = Brief.model_validate_json(json.dumps(asked))
        assert brief.target is not None
        law = law_by(brief.target, None)
        if chance_percents(law, substances_of(brief.formula))[0] > 20:
            return brief


def test_how_often_the_least_cost_is_proved():
    """Shares of the doughs, and the times."""
    times: list[float] = []
    for seed in range(DOUGHS):
        brief = over_its_limit(seed)
        started = time.perf_counter()
        try:
            Problem.of(brief, lambda s=started: DEADLINE - (time.perf_counter() - s)).least()
            times.append(time.perf_counter() - started)
        except DeadlineStruck:
            times.append(float("inf"))
    for seconds in (1, 5, 30):
        share = sum(t <= seconds for t in times) / len(times)
        print(f"proved within {seconds} s: {100 * share:.1f} %")
    ordered = sorted(times)
    median, p90 = ordered[len(times) // 2], ordered[int(0.9 * len(times))]
    print(f"median {median:.3f} s, p90 {p90:.2f} s, most {ordered[-1]:.1f} s")
