"""Small briefs of every kind answered as by trying everything (`tests.trying_everything`)."""

import math
import random
from fractions import Fraction
from functools import cache
from typing import NamedTuple

import pytest

from solver.answers.showing import formula_of
from solver.mechanics.chance import crack_chance
from solver.reformulate import reformulate
from solver.search.problem import Problem
from tests.conftest import brief_of
from tests.trying_everything import SUMS, Choice, best_of, lines_of, ratios_of, sums_of
from tests.trying_forms import Tried, best_on_form

MOST_COMBINATIONS = 8_000


class Amounts(NamedTuple):
    """Between what the amounts of a small dough are drawn."""

    flour_cups: tuple[float, ...]
    butter_grams: tuple[int, int]
    sugar_cups: tuple[float, ...]
    eggs: tuple[int, ...]
    syrup_tbsp: tuple[int, ...]


ANY = Amounts((2, 2.5, 3, 3.5), (110, 220), (0.5, 0.75, 1), (1, 2), (2, 4))
ROLLED = Amounts((2.5, 3, 3.5), (120, 190), (0.5, 0.75), (1,), (1, 2))
"""Of these most are doughs of which a chance is known."""


def small_brief(seed: int, most: int = MOST_COMBINATIONS, amounts: Amounts = ANY) -> dict:
    rng = random.Random(f"small {seed}")
    eggs_there, batch = rng.random() < 0.5, rng.random() < 0.25
    lines = [
        (rng.choice(["all-purpose flour", "rye flour"]), rng.choice(amounts.flour_cups), "cup"),
        ("unsalted butter", rng.randint(*amounts.butter_grams), "g"),
        (rng.choice(["granulated sugar", "brown sugar"]), rng.choice(amounts.sugar_cups), "cup"),
        (rng.choice(["baking soda", "baking powder"]), rng.choice([0.5, 1, 1.5, 2]), "tsp"),
        ("egg", rng.choice(amounts.eggs), "each") if eggs_there else ("whole milk", 3, "tbsp"),
        ("salt", 0.5, "tsp"),
    ]
    if rng.random() < 0.4:
        lines.insert(3, (rng.choice(["molasses", "honey"]), rng.choice(amounts.syrup_tbsp), "tbsp"))
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
        if math.prod(len(line.choices) for line in lines_of(brief)) <= most:
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


FEW_COMBINATIONS = 1_000
"""Each is judged on every sheet."""


def small_brief_on_form(seed: int) -> dict:
    """Return a small brief about a sheet on a cylinder, which may be rolled thinner and chilled."""
    brief = small_brief(seed, FEW_COMBINATIONS, ROLLED)
    rng = random.Random(f"form {seed}")
    form = {"kind": "cylinder", "diameter_mm": rng.choice([60, 80, 100])}
    brief["target"] = {
        "form": {**form, "wrap_degrees": rng.choice([120, 150, 170])},
        "thickness_mm": rng.choice([3, 4, 4.7625, 5]),
    }
    if rng.random() < 0.6:
        brief["target"]["may_roll_to_mm"] = rng.choice([1.5, 2, 2.5, 3])
    brief["target"]["may_chill"] = rng.random() < 0.5
    if rng.random() < 0.6:
        brief["window"] = {}
    most = rng.choice([3, 8, 15, 20, 30, 50])
    brief["window"]["crack_chance_percent"] = {"max": most}
    return brief


@cache
def tried_on(seed: int) -> tuple[Fraction, list[Choice]] | None:
    return best_of(small_brief(seed))


@cache
def tried_on_form(seed: int) -> Tried | None:
    brief = small_brief_on_form(seed)
    return best_on_form(brief, brief["window"]["crack_chance_percent"]["max"])


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


@pytest.mark.parametrize("decade", range(20))
def test_no_dough_on_no_sheet_is_cheaper_than_the_answer(decade):
    """Ten small briefs on a form: the same verdict, cost, sheet and chance as by trying all."""
    for seed in range(10 * decade, 10 * decade + 10):
        brief, tried = brief_of(small_brief_on_form(seed)), tried_on_form(seed)
        answer = Problem.of(brief).least()
        if tried is None or answer is None:
            assert tried is answer, f"brief {seed}"
            continue
        assert float(answer.cost) == pytest.approx(tried.cost, abs=1e-9), f"brief {seed}"
        rolled = answer.sheet.target
        chance = crack_chance(formula_of(answer), rolled).percent
        alike = [w for w in tried.ways if w[:2] == (rolled.thickness_mm, rolled.chilled)]
        assert any(way.chance_percent == pytest.approx(chance, abs=1e-6) for way in alike)


def test_the_small_briefs_on_forms_ask_for_everything():
    """Doughs that stay and that move, thinner and chilled sheets, briefs that cannot be met."""
    seen: set[str] = set()
    for seed in range(200):
        tried, target = tried_on_form(seed), small_brief_on_form(seed)["target"]
        seen.add("infeasible" if tried is None else "changed" if tried.cost else "unchanged")
        for way in tried.ways if tried else ():
            seen |= {"thinner"} if way.thickness_mm < target["thickness_mm"] else set()
            seen |= {"chilled"} if way.chilled else set()
            seen |= {"dough"} if way.dough_moves else set()
    assert seen == {"infeasible", "changed", "unchanged", "thinner", "chilled", "dough"}


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
