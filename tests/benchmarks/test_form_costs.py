"""What a form's crack limit and a ladder cost, beside a bare run of HiGHS in the same run.

Prints; asserts that no answer misses the true limit. Run with `make bench`; FORMS sets how many
briefs are generated (500 unless told).
"""

import json
import os
import random
import statistics
import time
from collections import Counter

import pytest

from models.brief import Brief
from models.ladder import LadderBrief
from solver.ladder import climb
from solver.reformulate import reformulate
from solver.search import problem
from solver.search.problem import Problem
from tests.benchmarks.test_reformulation_costs import bare_run_seconds
from tests.generated_recipes import generated_recipe
from tests.solver.search.test_crack import on_cylinder

FORMS = int(os.environ.get("FORMS", "500"))

pytestmark = pytest.mark.benchmark


def form_brief(seed: int) -> Brief:
    rng = random.Random(f"form {seed}")
    form = {
        "kind": "cylinder",
        "diameter_mm": rng.choice([60, 80, 120, 200]),
        "wrap_degrees": rng.choice([60, 120, 160]),
    }
    target = {"form": form, "thickness_mm": rng.choice([2, 2.5, 3, 4])}
    window = {"crack_chance_percent": {"max": rng.choice([10, 20, 40, 60])}}
    brief = {"recipe": generated_recipe(seed), "target": target, "window": window}
    return Brief.model_validate_json(json.dumps(brief))


def test_no_answer_misses_the_true_limit(monkeypatch):
    """Of all generated briefs on forms, none is answered with a chance above its limit."""
    rounds: list[int] = []
    solve = problem.solve

    def counted(*arguments):
        rounds.append(len([row for row in arguments[0].rows if row.name == "other_than"]))
        return solve(*arguments)

    monkeypatch.setattr(problem, "solve", counted)
    outcomes: Counter[str] = Counter()
    missed, most = 0, 0
    for seed in range(FORMS):
        brief = form_brief(seed)
        rounds.clear()
        started = time.monotonic()
        outcome = reformulate(brief, lambda started=started: 10 - (time.monotonic() - started))
        outcomes[outcome.outcome] += 1
        most = max(most, 1 + max(rounds, default=0))
        allowed = brief.window.crack_chance_percent.max
        if outcome.outcome in {"reformulated", "unchanged"}:
            missed += outcome.form.after.percent > allowed
        if (seed + 1) % 100 == 0:
            print(f"{seed + 1} of {FORMS} briefs", flush=True)
    print(f"outcomes {dict(outcomes)}; the true limit missed {missed} of {FORMS}")
    print(f"most rounds of one solve: {most}")
    assert missed == 0


def test_a_ladder_beside_one_bare_solve():
    """A ladder of twelve points, as a multiple of one bare HiGHS run of its program."""
    brief = LadderBrief.model_validate_json(json.dumps({**on_cylinder("3/16 in"), "points": 12}))
    program = Problem.of(brief).program
    whole, bare = [], []
    for _ in range(5):
        started = time.perf_counter()
        climb(brief, lambda: 600.0)
        whole.append(time.perf_counter() - started)
        bare.append(bare_run_seconds(program))
    ours, theirs = statistics.median(whole), statistics.median(bare)
    print(f"ladder of 12 points {ours:.2f} s, one bare solve {theirs:.2f} s: {ours / theirs:.1f}")
