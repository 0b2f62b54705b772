"""The chance of a crack and the growth of a flat piece summed once more, dough by dough and draw by
draw, by the model's equations written out afresh.

It takes the belief's draws, which are data, and none of the mechanics' formulas. A dome's rim is
integrated numerically instead of summed as a series.
"""

import math
from typing import NamedTuple, assert_never

import numpy as np

from models.form import AnyForm, Cone, Cylinder, Dome, FlatPanel, FlatRound, LeaningPanel, Wave
from models.ingredient import Role
from models.measures import Part
from models.target import Target
from solver.mechanics.belief import Draws

PULL = 1260.0 * 9.81
_RIM_STEPS = 400
_FLOWING = ("fat", "oil", "firm", "butter", "sugars", "water", "egg")
_NUT_MEAL_FAT, _DRIED_EGG_WATER = 20.0, 20.0


class Again(NamedTuple):
    """An estimate with the draws' 10th and 90th percentiles."""

    value: float
    low: float
    high: float


def estimates_again(parts: list[Part], target: Target, draws: Draws) -> tuple[Again, Again]:
    """Return the chance of a crack that shows [%] and the growth of a flat piece [mm]."""
    made = _made_of(parts)
    solids = made["solids"]
    share = {name: 100 * grams / solids for name, grams in made.items()}
    gas = _gas(share, draws)
    rise = draws.rise + draws.rise_per_gas * np.minimum(gas, 0.6)
    h, slip = target.thickness_mm / 1000, np.exp(draws.ln_slip)
    powers = (h / 0.005) ** draws.thickness_power / _round(0.005, 0.03, slip)
    flows = np.exp(_ln_growth(share, gas, target, draws)) / 1000 * powers
    cracks = _chances(share, target, draws, flows, rise)
    grown = _grown(target.form, h, slip, flows) + draws.widening * rise
    grows = _across_mm(target.form) * grown
    return _with_ends(cracks, float(np.mean(cracks))), _with_ends(grows, float(np.median(grows)))


def _with_ends(drawn: np.ndarray, value: float) -> Again:
    low, high = np.percentile(drawn, (10, 90))
    return Again(value, float(low), float(high))


def _gas(share: dict[str, float], draws: Draws) -> np.ndarray:
    soda, acid, heat = share["soda"], share["acid"], draws.heat_share
    met = np.minimum(0.262 * heat * soda + (0.524 - 0.262 * heat) * acid, 0.262 * (soda + acid))
    raised = np.minimum(met, 0.524 * soda + 0.262 * share["potash"])
    return np.asarray(share["gas"] + raised)


def _ln_growth(
    share: dict[str, float], gas: np.ndarray, target: Target, draws: Draws
) -> np.ndarray:
    growth = (
        draws.ln_growth
        + draws.per_fat * (share["fat"] - 45)
        + draws.per_oil * share["oil"]
        + draws.per_firm * share["firm"]
        + draws.per_sugar * (share["sugars"] - 50)
        + draws.per_water * (share["water"] - 18)
        + draws.per_egg * (share["egg"] - 12)
        + draws.per_gas * (gas - 0.15)
    )
    if target.chilled:
        growth = growth + draws.chilled * (share["butter"] + 0.3 * share["firm"]) / 45
    return np.asarray(growth)


def _chances(
    share: dict[str, float], target: Target, draws: Draws, flows: np.ndarray, rise: np.ndarray
) -> np.ndarray:
    bears = draws.crack_strain + draws.crack_strain_per_egg * (
        share["egg"] - 12 - (share["fat"] - 45) / 2
    )
    h, slip = target.thickness_mm / 1000, np.exp(draws.ln_slip)
    strain, power = _strain(target.form, h, slip)
    asked = (h / 2 + slip) / (h / 3 + slip) * np.log(1 + power * strain * flows) / power
    radius = target.form.radius_mm
    if radius is not None:
        bent = radius / 1000
        asked = asked + h / (2 * bent + h) + rise * h / (bent + h)
    z = (asked - bears) / np.exp(draws.ln_scatter)
    return np.asarray(100 / (1 + np.exp(-np.clip(z, -700, 700))))


def _across_mm(form: AnyForm) -> float:
    """Return the side of the flat piece that is measured: the form's own, else a 60 mm round's."""
    match form:
        case FlatRound():
            return form.diameter_mm
        case FlatPanel():
            return min(form.width_mm, form.height_mm)
        case Cylinder() | Cone() | Dome() | Wave() | LeaningPanel():
            return 60.0
        case _:
            assert_never(form)


def _grown(form: AnyForm, h: float, slip: np.ndarray, flows: np.ndarray) -> np.ndarray:
    """Return how much longer that side gets by flow, as a share of it."""
    flat = (
        form
        if isinstance(form, FlatPanel)
        else FlatRound(kind="flat_round", diameter_mm=_across_mm(form))
    )
    strain, power = _strain(flat, h, slip)
    return np.asarray((1 + power * strain * flows) ** (1 / power) - 1)


def _made_of(parts: list[Part]) -> dict[str, float]:
    made = dict.fromkeys(
        (*_FLOWING, "solids", "soda", "acid", "potash", "gas"),
        0.0,
    )
    for part in parts:
        grams, what = float(part.grams), part.ingredient
        fat, role = grams * what.fat_percent / 100, what.role
        made["acid"] += grams * 0.0840 * (what.acid_meq_per_gram or 0)
        match what.leavening:
            case "soda":
                made["soda"] += grams
            case "potash":
                made["potash"] += 1.2155 * grams
            case "powder":
                made["gas"] += 0.15 * grams
            case "ammonia":
                made["gas"] += 0.557 * grams
            case "self_rising":
                made["gas"] += 0.005 * grams
            case "yeast" | None:
                pass
            case _:
                assert_never(what.leavening)
        flour_like = role in ("flour", "cocoa") if what.flour_like is None else what.flour_like
        if flour_like:
            meal = fat if role == "flour" and what.fat_percent > _NUT_MEAL_FAT else 0.0
            made["solids"] += grams - meal
            made["fat"] += meal
        elif _flows(role):
            made["fat"] += fat
            made["sugars"] += grams * what.sugars_percent / 100
            made["water"] += grams * what.water_percent / 100
            made["egg"] += grams * (role == "egg" and what.water_percent > _DRIED_EGG_WATER)
            if role == "fat" and what.fat_kind is not None:
                made[what.fat_kind] += fat
    return made


def _flows(role: Role) -> bool:
    match role:
        case "fat" | "sugar" | "syrup" | "egg" | "liquid" | "acid":
            return True
        case "flour" | "cocoa" | "leavener" | "salt" | "flavour" | "inclusion":
            return False
        case _:
            assert_never(role)


def _round(h: float, radius: float, slip: np.ndarray) -> np.ndarray:
    """Return the growth of a flat round for each unit of fluidity [m], by I1 as a power series."""
    length = np.sqrt(4 * h * (h + 3 * slip) / 3)
    x = np.minimum(radius / length, 600.0)
    ratio = _bessel_ratio(x)
    return np.asarray(PULL * h * radius / (4 * x * ratio - 2))


def _bessel_ratio(x: np.ndarray) -> np.ndarray:
    """Return I0/I1, by the continued fraction of their quotient from far down upwards."""
    quotient = np.zeros_like(x)
    for n in range(900, 0, -1):
        quotient = 1 / (2 * n / x + quotient)
    return np.asarray(1 / quotient)


def _strain(form: AnyForm, h: float, slip: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return e and p of a form."""
    length = np.sqrt(4 * h * (h + 3 * slip) / 3)
    slows = 1 + h / (h + 3 * slip)
    match form:
        case Cylinder() | Wave():
            radius, edge = form.radius_mm / 1000, math.radians(form.half_wrap_degrees)
            drift = PULL * h / (4 * h / radius**2 + 3 / (h + 3 * slip))
            near = np.minimum(radius * edge / length, 700.0)
            e = drift / radius * (1 - math.cos(edge) / np.cosh(near))
            return e, slows / (1 + (length / radius) ** 2)
        case Dome():
            radius, edge = form.radius_mm / 1000, math.radians(form.half_wrap_degrees)
            drift = PULL * h / (6 * h / radius**2 + 3 / (h + 3 * slip))
            along, hoop = _rim(0.5 - (radius / length) ** 2, edge)
            e = drift / radius * (1 - 6 * math.cos(edge) / (4 * along + 2 * hoop))
            return e, 2 * slows / (1 + (length / radius) ** 2)
        case Cone():
            slope = math.radians(form.slope_degrees)
            top = form.apex_to_top_mm / 1000
            slant = form.apex_to_base_mm / 1000 - top
            kappa = np.sqrt(1 / length**2 + 1 / top**2)
            held = np.minimum(kappa * slant, 700.0)
            e = PULL * math.sin(slope) / (4 * kappa**2 * top) * (1 - 1 / np.cosh(held))
            return e, slows / (1 + (length / top) ** 2)
        case FlatRound():
            across = form.diameter_mm / 1000
            return _round(h, across / 2, slip) / across, np.full_like(slip, 5.0)
        case FlatPanel():
            width = min(form.width_mm, form.height_mm) / 1000
            grows = PULL * h * length * np.tanh(width / 2 / length) / 4
            return grows / width, np.full_like(slip, 5.0)
        case LeaningPanel():
            return np.zeros_like(slip), np.full_like(slip, 5.0)
        case _:
            assert_never(form)


def _rim(number: np.ndarray, edge: float) -> tuple[np.ndarray, np.ndarray]:
    """Return v' and v cot φ at the rim of v'' + cot φ v' − v/sin² φ + Q v = 0, v ≈ φ at the apex.

    Runge and Kutta's fourth order, from near the apex to the rim.
    """
    number = np.maximum(number, -((60 / edge) ** 2))  # e^60 is as far as a rim is ever felt
    start = 1e-3

    def slopes(at: float, v: np.ndarray, dv: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return dv, -dv / math.tan(at) + v / math.sin(at) ** 2 - number * v

    v, dv = np.full_like(number, start), np.ones_like(number)
    step = (edge - start) / _RIM_STEPS
    for i in range(_RIM_STEPS):
        at = start + i * step
        a, da = slopes(at, v, dv)
        b, db = slopes(at + step / 2, v + step / 2 * a, dv + step / 2 * da)
        c, dc = slopes(at + step / 2, v + step / 2 * b, dv + step / 2 * db)
        d, dd = slopes(at + step, v + step * c, dv + step * dc)
        v = v + step / 6 * (a + 2 * b + 2 * c + d)
        dv = dv + step / 6 * (da + 2 * db + 2 * dc + dd)
    return dv, v / math.tan(edge)
