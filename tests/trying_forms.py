"""A small brief on a cylinder answered by trying all doughs on all sheets, from the contract alone.

Doughs, costs and ratios are those of `tests.trying_everything`; the sheets, what each costs, and
the model's equations on a cylinder are written out here afresh. Of the program only the belief's
draws and the ingredient table are used, which are data with checks of their own.
"""

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from scipy.special import i0, i1

from solver.mechanics.belief import untried
from tests.trying_everything import (
    SUMS,
    bounds_of,
    keeps,
    lines_of,
    per_gram,
    ratios_of,
)

F = Fraction
MILLIMETRES = [F(mm) for mm in ("1.5", "2", "2.5", "3", "3.5", "4", "5", "6", "8", "10")]
INCHES = [F(n) * F("25.4") for n in ("1/16", "3/32", "1/8", "5/32", "3/16", "7/32", "1/4", "5/16")]
BLOCK = 64
TIE = 1e-9
PULL = 1200 * 9.81


class Way(NamedTuple):
    """A dough on a sheet that keeps everything."""

    thickness_mm: float
    chilled: bool
    chance_percent: float
    dough_moves: bool


class Tried(NamedTuple):
    """The least cost over all doughs and sheets, and every way that costs so much."""

    cost: float
    ways: tuple[Way, ...]


# --- sheets ---------------------------------------------------------------------------------------


def sheets_of(target) -> Iterator[tuple[Fraction, bool, Fraction]]:
    """Yield the thickness, whether it is chilled, and the cost of every sheet allowed."""
    planned = F(str(target["thickness_mm"]))
    near = F(1, 100)
    guides = MILLIMETRES if any(planned == mm for mm in MILLIMETRES) else INCHES
    down_to = F(str(target.get("may_roll_to_mm", target["thickness_mm"])))
    thinner = [mm for mm in guides if down_to - near <= mm < planned - near]
    chills = [False, True] if target.get("may_chill") else [False]
    for thickness in (planned, *thinner):
        for chilled in chills:
            cost = F("0.02") if chilled else F(0)
            if thickness != planned:
                cost += F("0.02") + F("0.1") * (1 - thickness / planned)
                cost += F("0.2") * max(F(0), 3 - thickness)
            yield thickness, chilled, cost


# --- the model, on a cylinder ---------------------------------------------------------------------

ACID = {"honey": 0.029, "molasses": 0.12, "brown sugar": 0.011}  # meq/g, the model's page
NAMES = ("solids", "fat", "butter", "sugars", "water", "egg", "soda", "acid", "powder", "ammonia")


def brings(item) -> dict[str, float]:
    """What a gram brings of everything that the oven sees."""
    made = dict.fromkeys(NAMES, 0.0)
    if item.role == "flour":
        made["solids"] = 1.0
    if item.role in {"fat", "sugar", "syrup", "egg", "liquid"}:
        made["fat"] = item.fat_percent / 100
        made["butter"] = made["fat"] if item.role == "fat" else 0.0
        made["sugars"], made["water"] = item.sugars_percent / 100, item.water_percent / 100
        made["egg"] = float(item.role == "egg")
    made["acid"] = 0.0840 * ACID.get(item.name, 0.0)
    made["soda"] = float(item.name == "baking soda")
    made["powder"] = float(item.name == "baking powder")
    made["ammonia"] = float(item.name == "baker's ammonia")
    return made


def round_growth(h: float, a: float, slip: np.ndarray) -> np.ndarray:
    """Equation 5: 2u(a) with u = C I1(r/l) and 4u' + 2u/a = ρgh/2 at the edge."""
    length = np.sqrt(4 * h * (h + 3 * slip) / 3)
    x = a / length
    slope = i0(x) / length - i1(x) / a
    return 2 * i1(x) * (PULL * h / 2) / (4 * slope + 2 * i1(x) / a)


def chances(made: dict[str, np.ndarray], target, thickness: Fraction, chilled: bool) -> np.ndarray:
    """The chance [%] of each dough."""
    d = untried()
    share = {name: (100 * grams / made["solids"])[:, None] for name, grams in made.items()}
    soda, acid = share["soda"], share["acid"]
    by_heat = 0.262 * d.heat_share
    met = np.minimum(by_heat * soda + (0.524 - by_heat) * acid, 0.262 * (soda + acid))
    gas = 0.15 * share["powder"] + 0.557 * share["ammonia"] + np.minimum(met, 0.524 * soda)
    ln_q = d.ln_growth + d.per_fat * (share["fat"] - 45) + d.per_sugar * (share["sugars"] - 50)
    ln_q = ln_q + d.per_water * (share["water"] - 18) + d.per_egg * (share["egg"] - 12)
    ln_q = ln_q + d.per_gas * (gas - 0.15) + (d.chilled * share["butter"] / 45 if chilled else 0)
    bears = d.crack_strain + d.crack_strain_per_egg * (share["egg"] - 12 - (share["fat"] - 45) / 2)
    h, slip = float(thickness) / 1000, np.exp(d.ln_slip)
    radius = target["form"]["diameter_mm"] / 2000
    edge = math.radians(target["form"]["wrap_degrees"] / 2)
    length = np.sqrt(4 * h * (h + 3 * slip) / 3)
    drift = PULL * h / (4 * h / radius**2 + 3 / (h + 3 * slip))
    e = drift / radius * (1 - math.cos(edge) / np.cosh(radius * edge / length))
    p = (1 + h / (h + 3 * slip)) / (1 + (length / radius) ** 2)
    dose = np.exp(ln_q) / 1000 * (h / 0.005) ** d.thickness_power / round_growth(0.005, 0.03, slip)
    flow = (h / 2 + slip) / (h / 3 + slip) * np.log1p(p * e * dose) / p
    rise = (d.rise + d.rise_per_gas * np.minimum(gas, 0.6)) * h / (radius + h)
    z = (h / (2 * radius + h) + rise + flow - bears) / np.exp(d.ln_scatter)
    return 100 * np.mean(1 / (1 + np.exp(-z)), axis=1)


# --- every dough on every sheet -------------------------------------------------------------------


def rolls_within(brief, lines) -> list[tuple[str, str, Fraction]]:
    """Liquid, and liquid and fat, stay within 15 % of what they are to the flour as written."""
    start = dict.fromkeys(SUMS, F(0))
    for line in lines:
        for name, share in per_gram(line.item.name).items():
            start[name] += line.start * share
    now = ratios_of(start)
    stated = {*brief["window"]}
    return [
        (name, side, now[name] * (1 + sign * F(15, 100)))
        for name in ("liquid_per_flour", "wet_per_flour")
        if name not in stated and now[name]
        for side, sign in (("min", -1), ("max", 1))
    ]


def best_on_form(brief, at_most_percent: float) -> Tried | None:
    """Try every combination on every sheet in the order of cost; None where none keeps all."""
    lines = lines_of(brief)
    written = {k: v for k, v in brief["window"].items() if k != "crack_chance_percent"}
    bounds = [*bounds_of({**brief, "window": written}), *rolls_within(brief, lines)]
    shape = tuple(len(line.choices) for line in lines)
    count = math.prod(shape)
    cost, made = np.zeros(1), {name: np.zeros(1) for name in NAMES}
    sums = {name: np.zeros(1) for name in SUMS}
    for line in lines:
        cost = np.add.outer(cost, [float(line.cost(c)) for c in line.choices]).ravel()
        for table, of in ((made, brings), (sums, lambda item: per_gram(item.name))):
            for name in table:
                each = [
                    sum(float(of(i)[name]) * float(g) for i, g in c.parts) for c in line.choices
                ]
                table[name] = np.add.outer(table[name], each).ravel()
    near = np.ones(count, dtype=bool)
    for name, side, value in bounds:
        slack, ratio = 1e-9 * (1 + abs(float(value))), ratios_of(sums)[name]
        near &= ratio >= float(value) - slack if side == "min" else ratio <= float(value) + slack
    kept = [place for place in np.flatnonzero(near) if _exactly(place, shape, lines, bounds)]
    sheets = list(sheets_of(brief["target"]))
    every = sorted(
        (float(cost[place]) + float(sheet[2]), number, int(place))
        for place in kept
        for number, sheet in enumerate(sheets)
    )
    found: list[tuple[float, Way]] = []
    for first in range(0, len(every), BLOCK):
        block = every[first : first + BLOCK]
        if found and block[0][0] > found[0][0] + TIE:
            break
        for number in sorted({number for _, number, _ in block}):
            mine = [(total, place) for total, sheet, place in block if sheet == number]
            some = {name: values[[place for _, place in mine]] for name, values in made.items()}
            thickness, chilled, _ = sheets[number]
            judged = chances(some, brief["target"], thickness, chilled)
            found += [
                (total, Way(float(thickness), chilled, float(chance), bool(cost[place])))
                for (total, place), chance in zip(mine, judged, strict=True)
                if chance <= at_most_percent
            ]
        found.sort()
    if not found:
        return None
    least = found[0][0]
    return Tried(least, tuple(way for total, way in found if total <= least + TIE))


def _exactly(place: int, shape, lines, bounds) -> bool:
    """Tell whether a combination keeps the ratios to the last digit."""
    total = dict.fromkeys(SUMS, F(0))
    for pick, line in zip(np.unravel_index(place, shape), lines, strict=True):
        for item, grams in line.choices[int(pick)].parts:
            for name, share in per_gram(item.name).items():
                total[name] += grams * share
    return keeps(total, bounds)
