"""Small briefs of every kind answered as by trying everything (`tests.trying_everything`)."""

import math
import random
from fractions import Fraction
from functools import cache

import pytest

from solver.reformulate import reformulate
from tests.conftest import brief_of
from tests.trying_everything import SUMS, Choice, best_of, lines_of, ratios_of, sums_of

MOST_COMBINATIONS = 8_000


def small_brief(seed: int) -> dict:
    rng = random.Random(f"small {seed}")
    eggs_there, batch = rng.random() < 0.5, rng.random() < 0.25
    lines = [
        (rng.choice(["all-purpose flour", "rye flour"]), rng.choice([2, 2.5, 3, 3.5]), "cup"),
        ("unsalted butter", rng.randint(110, 220), "g"),
        (rng.choice(["granulated sugar", "brown sugar"]), rng.choice([0.5, 0.75, 1]), "cup"),
        (rng.choice(["baking soda", "baking powder"]), rng.choice([0.5, 1, 1.5, 2]), "tsp"),
        ("egg", rng.choice([1, 2]), "each") if eggs_there else ("whole milk", 3, "tbsp"),
        ("salt", 0.5, "tsp"),
    ]
    if rng.random() < 0.4:
        lines.insert(3, (rng.choice(["molasses", "honey"]), rng.choice([2, 4]), "tbsp"))
    brief = {
        "recipe": {"lines": [{"ingredient": i, "quantity": q, "unit": u} for i, q, u in lines]},
        "measures": rng.choice(["us", "metric", "scale", "as_written"]),
        "limits": {
            "keep": [lines[2][0]] if rng.random() < 0.5 else [],
            "max_flour_change_percent": rng.choice([5, 10, 15]),
            "max_change_percent": {name: rng.choice([10, 25, 50]) for name, _, _ in lines[1:3]},
            "may_add": [],
        },
    }
    if batch:
        brief["batch"] = {"factor": rng.choice([2, 3]) if eggs_there else rng.choice([0.7, 2.3])}
    if rng.random() < 0.25 and brief["measures"] in {"us", "metric"}:
        adds = ["water", "baker's ammonia", *([] if eggs_there else ["egg"])]
        brief["limits"]["may_add"] = [rng.choice(adds)]
    if rng.random() < 0.3:
        brief["weights"] = {
            rng.choice(["fat", "flour", "leavener", "salt"]): rng.choice([0, 0.5, 2])
        }
    brief["window"] = {}
    for _ in range(12):  # narrower reaches until there are few enough to try them all
        if math.prod(len(line.choices) for line in lines_of(brief)) <= MOST_COMBINATIONS:
            break
        narrow(brief)
    else:
        brief["limits"]["keep"] = [name for name, _, _ in lines[1:4]]
    bound(rng, brief)
    return brief


def narrow(brief: dict) -> None:
    limits = brief["limits"]
    limits["max_flour_change_percent"] = round(0.6 * limits["max_flour_change_percent"], 2)
    for line in brief["recipe"]["lines"]:
        name = line["ingredient"]
        if name not in limits["keep"] and line["unit"] not in {"tsp", "each"}:
            now = limits["max_change_percent"].get(name, 50)
            limits["max_change_percent"][name] = round(0.6 * now, 2)


def bound(rng: random.Random, brief: dict) -> None:
    """Bound some ratios a little around one combination, now and then so that none is left."""
    some = [sums_of(rng.choice(line.choices)) for line in lines_of(brief)]
    around = ratios_of({name: sum(one[name] for one in some) for name in SUMS})
    give = rng.choice([-0.02, 0, 0.002, 0.01, 0.03])
    for name in rng.sample(sorted(around), rng.choice([1, 2, 2, 3])):
        where = brief["limits"] if rng.random() < 0.2 else brief["window"]
        side, sign = rng.choice([("min", -1), ("max", 1)])
        value = float(around[name]) * (1 + sign * give) + sign * 1e-4
        where[name] = {side: max(0.0, round(value, 4))}


@cache
def tried_on(seed: int) -> tuple[Fraction, list[Choice]] | None:
    return best_of(small_brief(seed))


@pytest.mark.parametrize("decade", range(20))
def test_no_combination_is_cheaper_than_the_answer(decade):
    """Ten small briefs: the same verdict, the same cost, the same grams of every line."""
    for seed in range(10 * decade, 10 * decade + 10):
        brief, tried = small_brief(seed), tried_on(seed)
        outcome = reformulate(brief_of(brief))
        if tried is None:
            assert outcome.outcome == "infeasible", f"brief {seed}"
            continue
        cost, chosen = tried
        assert outcome.outcome == ("reformulated" if cost else "unchanged"), f"brief {seed}"
        assert outcome.cost.total == pytest.approx(float(cost), abs=1e-9), f"brief {seed}"
        written_lines = len(brief["recipe"]["lines"])
        expected = [float(c.grams) for k, c in enumerate(chosen) if k < written_lines or c.moved]
        shown = [line.after.grams for line in outcome.lines]
        assert shown == pytest.approx(expected), f"brief {seed}"


def test_the_small_briefs_ask_for_everything():
    """Answers that move, that need not, and briefs that cannot be met; batches, eggs that move,
    lines that enter and lines that go."""
    seen: set[str] = set()
    for seed in range(200):
        brief, tried = small_brief(seed), tried_on(seed)
        seen.add("infeasible" if tried is None else "reformulated" if tried[0] else "unchanged")
        if tried is None:
            continue
        moved = [choice for choice in tried[1] if choice.moved]
        seen |= {"an egg" for c in moved if c.parts[0][0].role == "egg"}
        seen |= {"left out" for c in moved if not c.grams}
        seen |= {"entered" for c in tried[1][len(brief["recipe"]["lines"]) :] if c.moved}
        seen |= {"batch"} if "batch" in brief and moved else set()
    wanted = {"infeasible", "reformulated", "unchanged", "an egg", "left out", "entered", "batch"}
    assert seen == wanted
