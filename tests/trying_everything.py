"""A small brief answered by trying everything, from the contract alone.

What each line may become, the ratios, the cost and the ties are written out here afresh and in
fractions; of the program only the ingredient table is used, whose figures have sources of their
own.
"""

import itertools
import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property

import numpy as np

from models.pantry import known_pantry

F = Fraction
WEIGHTS = {
    "leavener": F("0.4"),
    "liquid": F("0.6"),
    "syrup": F("0.8"),
    "flour": F(1),
    "fat": F(1),
    "sugar": F("1.2"),
    "egg": F("1.5"),
}


def table(name):
    found = known_pantry().find(name)
    assert found is not None
    return found


def cup_of(item) -> Fraction:
    teaspoon = item.grams_per_teaspoon
    return F(str(item.grams_per_cup)) if teaspoon is None else 48 * F(str(teaspoon))


@dataclass
class Choice:
    """One thing that a line may become: grams by ingredient, what it counts, how far it moves."""

    parts: tuple
    counts: int = 0
    moved: bool = True

    @cached_property
    def grams(self) -> Fraction:
        return (
            self.parts[0][1]
            if len(self.parts) == 1
            else sum((grams for _, grams in self.parts), F(0))
        )


# --- what can be measured ------------------------------------------------------------------------


def spoonfuls() -> dict[int, int]:
    """Eighths of a teaspoon under a cup's worth of spoons, and what each writing counts."""
    cups = {0: 0, 96: 1, 128: 1, 192: 1, 256: 2, 288: 2}
    tablespoons = {0: 0, 12: 1, 24: 1, 48: 2, 72: 3}
    parts = {0: 0, 1: 1, 2: 1, 4: 1, 6: 2}
    found: dict[int, int] = {}
    for whole, cup, tablespoon in itertools.product(range(12), cups, tablespoons):
        for teaspoons, part in itertools.product(range(3), parts):
            terms = [t for t in (384 * whole + cup, tablespoon, 8 * teaspoons + part) if t]
            total = sum(terms)
            if not terms or (part == 1 and total != 1) or min(terms) * 100 < total:
                continue
            counts = whole + cups[cup] + tablespoons[tablespoon] + teaspoons + parts[part]
            counts += 5 * (len(terms) - 1)
            found[total] = min(counts, found.get(total, counts))
    return found


SPOONFULS = spoonfuls()


def measurable(item, way: str, low: Fraction, high: Fraction) -> list[Choice]:
    """Every amount from `low` to `high` grams, nothing among them where it lies within."""
    if item.role == "egg":
        return eggs(item, low, high)
    tenth, whole = F(1, 10), F(1)
    if way == "us":
        ranges = [(cup_of(item) / 384, 0, math.inf)]
    elif way == "metric" and item.role in {"leavener", "salt", "flavour"}:
        ranges = [(cup_of(item) / F("236.588") * F("1.25"), 0, math.inf)]
    elif way == "metric" and item.role == "liquid":
        ranges = [(cup_of(item) / F("236.588") * 5, 0, math.inf)]
    elif way == "metric":
        ranges = [(whole, 0, math.inf)]
    else:
        ranges = [(tenth, 0, 199), (whole, 20, math.inf)]
    found = [Choice(((item, F(0)),))] if low <= 0 else []
    for step, first, last in ranges:
        for n in range(max(1, first, math.ceil(low / step)), min(last, high // step) + 1):
            if way == "us" and n not in SPOONFULS:
                continue
            counts = SPOONFULS[n] if way == "us" else 0
            if way == "metric" and item.role in {"leavener", "salt", "flavour"}:
                counts = n // 12 + n % 12 // 4 + n % 4 // 2 + n % 2
            found.append(Choice(((item, step * n),), counts))
    return found


def eggs(item, low: Fraction, high: Fraction) -> list[Choice]:
    found = []
    for count in range(9):
        extras = [None, ("egg yolk", item.yolk_grams), ("egg white", item.white_grams)]
        for extra in extras if item.name == "egg" else [None]:
            parts = [(item, count * F(str(item.grams_per_unit)))] if count else []
            if extra:
                parts.append((table(extra[0]), F(str(extra[1]))))
            choice = Choice(tuple(parts) or ((item, F(0)),), count + bool(extra))
            if low <= choice.grams <= high:
                found.append(choice)
    return found


# --- what each line may become -------------------------------------------------------------------


@dataclass
class Line:
    item: object
    start: Fraction
    choices: list[Choice]
    weight: Fraction
    whole_change: Fraction

    def change(self, choice: Choice) -> Fraction:
        return abs(choice.grams - self.start) / self.whole_change if choice.moved else F(0)

    def cost(self, choice: Choice) -> Fraction:
        if not choice.moved:
            return F(0)
        gone = F("0.15") if not choice.grams else 0
        return self.weight * self.change(choice) + F("0.05") + F("0.004") * choice.counts + gone


def written(line) -> Fraction:
    item, quantity = table(line["ingredient"]), F(str(line["quantity"]))
    if line["unit"] == "g":
        return quantity
    if line["unit"] == "each":
        return quantity * F(str(item.grams_per_unit))
    return quantity * cup_of(item) / {"cup": 1, "tbsp": 16, "tsp": 48}[line["unit"]]


def lines_of(brief) -> list[Line]:
    limits, factor = brief["limits"], F(str(brief.get("batch", {}).get("factor", 1)))
    starts = [factor * written(line) for line in brief["recipe"]["lines"]]
    items = [table(line["ingredient"]) for line in brief["recipe"]["lines"]]
    flour = sum(g for g, item in zip(starts, items, strict=True) if item.role == "flour")
    weights = WEIGHTS | {role: F(str(w)) for role, w in brief.get("weights", {}).items()}
    found = []
    for line, item, start in zip(brief["recipe"]["lines"], items, starts, strict=True):
        way = brief["measures"]
        if way == "as_written":
            way = "scale" if line["unit"] == "g" else "us"
        down, up = F(1, 2), F(1, 2)
        if item.role == "leavener":
            down = F(1)
        if item.role == "flour":
            down = up = F(str(limits.get("max_flour_change_percent", 20))) / 100
        if item.name in limits["max_change_percent"]:
            most = F(str(limits["max_change_percent"][item.name])) / 100
            down, up = min(down, most), min(up, most)
        stay = Choice(((item, start),), moved=False)
        if "batch" in brief:
            far = 20 if way == "scale" else cup_of(item) / 8 if item.role != "egg" else 50
            near = measurable(item, way, start - far, start + far)
            best = min((c for c in near if c.grams), key=lambda c: (abs(c.grams - start), c.grams))
            stay = Choice(best.parts, moved=False)
        choices = [stay]
        if item.role in weights and item.name not in limits["keep"] and (down or up):
            others = measurable(item, way, start * (1 - down), start * (1 + up))
            choices += [choice for choice in others if choice.grams != stay.grams]
        found.append(Line(item, start, choices, weights.get(item.role, F(0)), start))
    for name in limits["may_add"]:
        item = table(name)
        most = (F(5, 100) if item.role == "leavener" else F(30, 100)) * flour
        others = measurable(item, brief["measures"], F(0), most)
        choices = [Choice(((item, F(0)),), moved=False), *(c for c in others if c.grams)]
        found.append(Line(item, F(0), choices, weights[item.role], flour / 20))
    return found


# --- ratios --------------------------------------------------------------------------------------

STRENGTH = {"baking soda": F(1), "baking powder": F(1, 4), "baker's ammonia": F("2.1")}
SUMS = ("flour", "fat", "soda", "water", "wet", "sugars", "egg")


@cache
def per_gram(name: str) -> dict[str, Fraction]:
    item = table(name)
    one = F(1)
    return {
        "flour": one * (item.role == "flour"),
        "fat": one * (item.role == "fat"),
        "egg": one * (item.role == "egg"),
        "wet": one * (item.role in {"liquid", "egg", "syrup"}),
        "soda": STRENGTH.get(item.name, F(0)),
        "water": F(str(item.water_percent)) / 100 * (item.role != "flour"),
        "sugars": F(str(item.sugars_percent)) / 100,
    }


def sums_of(choice: Choice) -> dict[str, Fraction]:
    made = dict.fromkeys(SUMS, F(0))
    for item, grams in choice.parts:
        for name, share in per_gram(item.name).items():
            made[name] += grams * share
    return made


def ratios_of(made) -> dict[str, object]:
    """The seven ratios, of fractions or of arrays alike."""
    flour = made["flour"]
    return {
        "flour_to_fat": flour / made["fat"],
        "soda_equivalent_percent": 100 * made["soda"] / flour,
        "moisture_percent": 100 * made["water"] / flour,
        "liquid_per_flour": made["wet"] / flour,
        "wet_per_flour": (made["wet"] + made["fat"]) / flour,
        "sugar_percent": 100 * made["sugars"] / flour,
        "egg_percent": 100 * made["egg"] / flour,
    }


def bounds_of(brief) -> list[tuple[str, str, Fraction]]:
    stated = [*brief["window"].items()]
    stated += [(n, b) for n, b in brief["limits"].items() if isinstance(b, dict) and n in RATIOS]
    return [(name, side, F(str(v))) for name, bound in stated for side, v in bound.items()]


RATIOS = frozenset(ratios_of(dict.fromkeys(SUMS, F(1))))


def keeps(made, bounds) -> bool:
    ratios = ratios_of(made)
    return all(ratios[n] >= v if side == "min" else ratios[n] <= v for n, side, v in bounds)


def of_every_combination(lines) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Return the sums and the cost of every combination, as floats."""
    made = dict.fromkeys(SUMS, np.zeros(1))
    cost = np.zeros(1)
    for line in lines:
        shares = [
            [(per_gram(item.name), float(grams)) for item, grams in choice.parts]
            for choice in line.choices
        ]
        for name in SUMS:
            each = [sum(float(share[name]) * g for share, g in parts) for parts in shares]
            made[name] = np.add.outer(made[name], each).ravel()
        cost = np.add.outer(cost, [float(line.cost(c)) for c in line.choices]).ravel()
    return made, cost


def best_of(brief) -> tuple[Fraction, list[Choice]] | None:
    """Try every combination; of equal costs the fewest moved lines, then the least early move."""
    lines, bounds = lines_of(brief), bounds_of(brief)
    shape = tuple(len(line.choices) for line in lines)
    made, cost = of_every_combination(lines)
    ratios, near = ratios_of(made), np.ones(len(cost), dtype=bool)
    for name, side, value in bounds:
        slack = 1e-9 * (1 + abs(float(value)))
        near &= (
            ratios[name] >= float(value) - slack
            if side == "min"
            else ratios[name] <= float(value) + slack
        )
    places = np.flatnonzero(near)
    best = None
    for place in places[np.argsort(cost[places], kind="stable")]:
        if best is not None and cost[place] > float(best[0][0]) + 1e-8:
            break
        picks = [int(pick) for pick in np.unravel_index(place, shape)]
        chosen = [line.choices[pick] for line, pick in zip(lines, picks, strict=True)]
        each = [sums_of(choice) for choice in chosen]
        if not keeps({name: sum(one[name] for one in each) for name in SUMS}, bounds):
            continue
        rank = (
            sum((line.cost(c) for line, c in zip(lines, chosen, strict=True)), F(0)),
            sum(choice.moved for choice in chosen),
            [(line.change(c), c.grams) for line, c in zip(lines, chosen, strict=True)],
        )
        if best is None or rank < best[0]:
            best = rank, chosen
    return None if best is None else (best[0][0], best[1])
