"""The dough on the form: what a formula makes of flow, rise and the strain that it bears.

    ln q = q0 + f (fat − 45) + o oil + m firm + u (sugars − 50) + w (water − 18) + e (egg − 12)
           + g (G − 0.15) + chilled c (butter fat + 0.3 firm)/45
    r    = r0 + b min(G, 0.60)
    εc   = k + d [(egg − 12) − ½ (fat − 45)]

All percentages are of the solids: flours, starches, cocoa and dry milk, gram for gram. q [mm] is
how much a 60 mm round, 5 mm thick, grows by flow; r the rise as a share of the thickness; εc the
strain of the outer face at which half of all pieces show a crack. G is the gas, g CO2 to 100 g of
solids: soda by heat alone gives half of what it gives with acid, and only a share φ of that before
the dough sets,

    G = o + min(0.262 φ soda + (0.524 − 0.262 φ) acid, 0.262 (soda + acid), 0.524 soda + 0.262 pot)

with o of powder, ammonia and self-rising flour, `acid` the soda that a dough's acids neutralise and
`pot` the potash as soda. The yields are molar masses. What a form asks is
`solver.mechanics.sheet`; the chance of a crack `solver.mechanics.chance`.
"""

import math
from functools import lru_cache
from typing import Any, NamedTuple, assert_never

import numpy as np

from models.formula import Formula
from models.ingredient import Ingredient
from solver.mechanics.belief import Draws

LIMITS_OF_THE_MODEL: tuple[str, ...] = (
    "These are estimates for changes within one recipe and one kitchen; a trial bake decides.",
    "The order of two changes is a prediction; the height of a chance is not. The strain that a "
    "dough bears, the scatter between pieces and how firmly a sheet sticks to its form were set "
    "from what the trade knows, not measured.",
    "A flat round tells how a dough flows, not how it sticks or what it bears, so ranges stay wide "
    "until pieces are baked on the form.",
    "Chilling acts on flow only, and whether it helps at all is not certain. A cold sheet cracks "
    "when it is bent; that is not in the chance.",
    "How the kind of a fat, egg and the thickness of a sheet act beyond what was measured is "
    "judgement, and so is the acid of cocoa and brown sugar.",
    "Soda left over after baking softens a dough beyond its gas; that is not in it. Wetter doughs "
    "were measured to bake thicker; why is not explained.",
    "Nuts, chips and fruit stiffen a sheet a little and start cracks; they are not in it.",
    "How much doughs of another family spread is not explained; the order within one recipe is "
    "what this is for.",
    "Growth in an oven is steady and then stops; here one fluidity stands for the whole bake.",
    "Cracks from a skin that dries, sugar that crystallises, a leaning panel that sags and doughs "
    "that do not flow below a certain load are not in it: no usable figures were found.",
    "Laying the sheet over its form is not in it: a short dough splits when it is bent cold or "
    "dry.",
)
"""What to say wherever figures of the model are shown."""

MOST_GAS_RAISING = 0.60
"""% of CO2 beyond which more only escapes."""

REFERENCE_FAT, REFERENCE_SUGARS, REFERENCE_WATER, REFERENCE_EGG = 45.0, 50.0, 18.0, 12.0
REFERENCE_GAS = 0.15
"""The dough that the belief speaks of, in per cent of its solids: a lightly raised butter dough."""

FIRM_IN_THE_COLD = 0.3
"""How much of butter's firming in the cold other firm fats show. Judgement."""

POWDER_GAS, AMMONIA_GAS, SELF_RISING_GAS = 0.15, 0.557, 0.005
"""g CO2 from a gram: powder as the trade's 1 to 4 of soda makes it; NH4HCO3 by molar mass, its
ammonia left out (van der Sman 2021); 21 CFR 137.180 asks 0.5 % of self-rising flour."""
GAS_WITH_ACID, GAS_BY_HEAT = 0.524, 0.262
"""g CO2 from a gram of soda with acid, and by heat alone: molar masses."""
SODA_PER_MEQ = 0.0840
"""g of soda neutralised by a milliequivalent of acid: its molar mass."""
SODA_PER_POTASH = 1.2155
"""g of soda that a gram of K2CO3 stands for: 168.01 / 138.21, molar masses."""

DRIED_WATER_PERCENT = 20.0
"""Egg with less water is dried; what binds is told of fresh egg alone."""

NUT_MEAL_FAT_PERCENT = 20.0
"""A flour with more fat than this is a nut meal: its fat counts as fat, the rest as solids."""


class Substances(NamedTuple):
    """What a dough is made of, in grams; numbers or arrays of them.

    `oil_fat`, `firm_fat` and `butter_fat` are parts of `fat`; the water and sugars of solids are
    left out. `soda`, `acid` and `potash` are grams of soda; `gas` is the CO2 of all else that
    raises.
    """

    solids: Any
    fat: Any
    oil_fat: Any
    firm_fat: Any
    butter_fat: Any
    sugars: Any
    water: Any
    egg: Any
    soda: Any
    acid: Any
    potash: Any
    gas: Any


FLOWING = ("fat", "oil_fat", "firm_fat", "butter_fat", "sugars", "water", "egg")
"""What moves ln q and the crack strain, in the order of `solver.mechanics.chance.SheetLaw`."""


def substances_of(formula: Formula) -> Substances:
    """Return what the whole dough is made of."""
    parts = [part for line in formula.lines for part in line.amount.parts]
    rows = [substances_per_gram(part.ingredient) for part in parts]
    grams = [float(part.grams) for part in parts]
    columns = zip(*rows, strict=True)
    return Substances(
        *(math.fsum(x * g for x, g in zip(column, grams, strict=True)) for column in columns)
    )


@lru_cache(maxsize=4096)
def substances_per_gram(ingredient: Ingredient) -> Substances:
    """Return what a gram of `ingredient` brings."""
    made_of = _as_solids(ingredient) if ingredient.is_solid else _by_role(ingredient)
    acid = SODA_PER_MEQ * (ingredient.acid_meq_per_gram or 0.0)
    return made_of._replace(acid=acid, **_raising(ingredient))


_NOTHING = Substances(*[0.0] * len(Substances._fields))


def _as_solids(ingredient: Ingredient) -> Substances:
    fat = float(ingredient.fat_share)
    is_meal = ingredient.role == "flour" and ingredient.fat_percent > NUT_MEAL_FAT_PERCENT
    meal_fat = fat if is_meal else 0.0
    return _NOTHING._replace(solids=1.0 - meal_fat, fat=meal_fat)


def _by_role(ingredient: Ingredient) -> Substances:
    match ingredient.role:
        case "fat" | "sugar" | "syrup" | "egg" | "liquid" | "acid":
            return _by_composition(ingredient)
        case "flour" | "cocoa" | "leavener" | "salt" | "flavour" | "inclusion":
            return _NOTHING
        case _:
            assert_never(ingredient.role)


def _by_composition(ingredient: Ingredient) -> Substances:
    fat = float(ingredient.fat_share)
    kind = ingredient.fat_kind if ingredient.role == "fat" else None
    return _NOTHING._replace(
        fat=fat,
        oil_fat=fat * (kind == "oil"),
        firm_fat=fat * (kind == "firm"),
        butter_fat=fat * (kind == "butter"),
        sugars=float(ingredient.sugars_share),
        water=float(ingredient.water_share),
        egg=float(ingredient.role == "egg" and ingredient.water_percent > DRIED_WATER_PERCENT),
    )


def _raising(ingredient: Ingredient) -> dict[str, float]:
    match ingredient.leavening:
        case "soda":
            return {"soda": 1.0}
        case "potash":
            return {"potash": SODA_PER_POTASH}
        case "powder":
            return {"gas": POWDER_GAS}
        case "ammonia":
            return {"gas": AMMONIA_GAS}
        case "self_rising":
            return {"gas": SELF_RISING_GAS}
        case "yeast" | None:
            return {}
        case _:
            assert_never(ingredient.leavening)


def gas_percent(substances: Substances, heat_share: Any) -> Any:
    """Return G, g CO2 to 100 g of solids, where `heat_share` of heat's yield comes in time."""
    by_heat = GAS_BY_HEAT * heat_share
    soda, acid, potash = substances.soda, substances.acid, substances.potash
    met = np.minimum(
        by_heat * soda + (GAS_WITH_ACID - by_heat) * acid,
        np.minimum(GAS_BY_HEAT * (soda + acid), GAS_WITH_ACID * soda + GAS_BY_HEAT * potash),
    )
    return 100 * (substances.gas + met) / substances.solids


class DoughState(NamedTuple):
    """What a dough does on a form: ln q [ln mm], rise, and the strain it bears."""

    ln_growth: Any
    rise: Any
    crack_strain: Any


def state_of(substances: Substances, chilled: bool, draws: Draws) -> DoughState:
    """Return what a dough of `substances` does; of arrays, those of the substances come first."""
    fat, oil, firm, butter, sugars, water, egg = (
        100 * getattr(substances, name) / substances.solids for name in FLOWING
    )
    gas = gas_percent(substances, draws.heat_share)
    ln_growth = (
        draws.ln_growth
        + draws.per_fat * (fat - REFERENCE_FAT)
        + draws.per_oil * oil
        + draws.per_firm * firm
        + draws.per_sugar * (sugars - REFERENCE_SUGARS)
        + draws.per_water * (water - REFERENCE_WATER)
        + draws.per_egg * (egg - REFERENCE_EGG)
        + draws.per_gas * (gas - REFERENCE_GAS)
    )
    if chilled:
        ln_growth = ln_growth + draws.chilled * (butter + FIRM_IN_THE_COLD * firm) / REFERENCE_FAT
    rise = draws.rise + draws.rise_per_gas * np.minimum(gas, MOST_GAS_RAISING)
    shortening = (egg - REFERENCE_EGG) - (fat - REFERENCE_FAT) / 2
    return DoughState(ln_growth, rise, draws.crack_strain + draws.crack_strain_per_egg * shortening)
