"""Rolled doughs made up by a seed: recipes of 6 to 13 lines, and briefs that ask for change.

Amounts lie where recipe books have them (flour 2 to 5 cups, flour:fat 1.6 to 3.2, sugar 30 to 70 %
of the flour), and windows sit a little off the dough they are asked of, so that most briefs need a
change, some need none and some cannot be met.
"""

import json
import random
from typing import Any

from models.brief import Brief
from models.ratios import Ratios

FLOURS = ["all-purpose flour", "bread flour", "cake flour", "whole wheat flour", "light rye flour"]
FATS = ["unsalted butter", "salted butter", "vegetable shortening", "lard", "ghee"]
SUGARS = ["granulated sugar", "brown sugar", "powdered sugar"]
SYRUPS = ["molasses", "honey", "light corn syrup", "maple syrup"]
LIQUIDS = ["whole milk", "water", "heavy cream", "buttermilk", "orange juice"]
LEAVENERS = ["baking soda", "baking powder", "baker's ammonia"]
FLAVOURS = ["ground ginger", "ground cinnamon", "vanilla extract", "ground cloves"]


def generated_recipe(seed: int) -> dict[str, Any]:
    """Return a recipe as JSON would hold it."""
    rng = random.Random(seed)
    flour_cups = rng.choice([2, 2.25, 2.5, 3, 3.25, 3.5, 4, 4.5, 5])
    lines = [_line(rng.choice(FLOURS), flour_cups, "cup")]
    if rng.random() < 0.25:
        other = rng.choice([f for f in FLOURS if f != lines[0]["ingredient"]])
        lines.append(_line(other, rng.choice([0.25, 0.5, 1]), "cup"))
    fat_grams = round(flour_cups * 125 / rng.uniform(1.6, 3.2))
    lines.append(_line(rng.choice(FATS), fat_grams, "g"))
    lines.append(
        _line(rng.choice(SUGARS), rng.choice([0.5, 0.75, 1, 1.25]) * flour_cups / 3, "cup")
    )
    if rng.random() < 0.5:
        lines.append(_line(rng.choice(SYRUPS), rng.choice([2, 3, 4, 6, 8]), "tbsp"))
    if rng.random() < 0.8:
        lines.append(_line("egg", rng.choice([1, 1, 2, 3]), "each"))
    if rng.random() < 0.2:
        lines.append(_line("egg yolk", rng.choice([1, 2]), "each"))
    if rng.random() < 0.5:
        lines.append(_line(rng.choice(LIQUIDS), rng.choice([1, 2, 3, 4, 6]), "tbsp"))
    for leavener in rng.sample(LEAVENERS, rng.choice([1, 1, 2])):
        lines.append(_line(leavener, rng.choice([0.25, 0.5, 0.75, 1, 1.5, 2]), "tsp"))
    lines.append(_line("salt", rng.choice([0.25, 0.5, 1]), "tsp"))
    for flavour in rng.sample(FLAVOURS, rng.choice([0, 1, 2])):
        lines.append(_line(flavour, rng.choice([0.5, 1, 2]), "tsp"))
    return {"title": f"Dough {seed}", "lines": lines}


def generated_brief(seed: int, measures: str | None = None) -> Brief:
    """Return a brief about `generated_recipe(seed)`."""
    rng = random.Random(f"brief {seed}")
    recipe = generated_recipe(seed)
    now = Brief.model_validate_json(json.dumps({"recipe": recipe, "window": {}})).formula.ratios
    limits: dict[str, Any] = {"max_flour_change_percent": rng.choice([10, 15, 20, 30])}
    if rng.random() < 0.5:
        limits["keep"] = [rng.choice(recipe["lines"])["ingredient"]]
    if rng.random() < 0.3:
        limits["liquid_per_flour"] = {"min": round(0.9 * (now.liquid_per_flour or 0), 3)}
    if rng.random() < 0.15:
        names = {line["ingredient"] for line in recipe["lines"]}
        limits["may_add"] = [rng.choice([name for name in LIQUIDS if name not in names])]
    brief = {
        "recipe": recipe,
        "window": _window(rng, now),
        "limits": limits,
        "measures": measures or rng.choice(["us", "us", "metric", "scale"]),
    }
    if rng.random() < 0.15:
        brief["batch"] = {"factor": rng.choice([0.5, 1.5, 2, 3])}
    return Brief.model_validate_json(json.dumps(brief))


def generated_long_brief(seed: int, lines: int) -> Brief:
    """Return a brief about a recipe of many lines, a little off its windows."""
    rng = random.Random(f"long {seed}")
    recipe = generated_recipe(seed)
    more = ((FLOURS, "cup"), (FATS, "tbsp"), (SUGARS, "cup"), (SYRUPS, "tbsp"), (LIQUIDS, "tbsp"))
    while len(recipe["lines"]) < lines:
        names, unit = rng.choice(more)
        recipe["lines"].append(_line(rng.choice(names), rng.choice([0.5, 1, 2]), unit))
    now = Brief.model_validate_json(json.dumps({"recipe": recipe, "window": {}})).formula.ratios
    window = {
        "flour_to_fat": {"min": round(1.05 * (now.flour_to_fat or 2), 3)},
        "moisture_percent": {"max": round(0.97 * (now.moisture_percent or 20), 2)},
        "soda_equivalent_percent": {"max": round(0.8 * (now.soda_equivalent_percent or 1), 3)},
    }
    brief = {"recipe": recipe, "window": window, "measures": "us"}
    return Brief.model_validate_json(json.dumps(brief))


def _window(rng: random.Random, now: Ratios) -> dict[str, dict[str, float]]:
    flour_to_fat = (now.flour_to_fat or 2) * rng.uniform(0.95, 1.25)
    soda = (now.soda_equivalent_percent or 1) * rng.uniform(0.5, 1.1)
    moisture = (now.moisture_percent or 20) * rng.uniform(0.85, 1.1)
    return {
        "flour_to_fat": {"min": round(flour_to_fat, 2), "max": round(1.1 * flour_to_fat, 2)},
        "soda_equivalent_percent": {"max": round(soda, 2)},
        "moisture_percent": {"min": round(0.9 * moisture, 1), "max": round(1.1 * moisture, 1)},
    }


def _line(ingredient: str, quantity: float, unit: str) -> dict[str, Any]:
    return {"ingredient": ingredient, "quantity": quantity, "unit": unit}
