"""What is asked in the recorded examples: each outcome, and each way a request can be refused."""

import copy
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

JSON = {"Content-Type": "application/json"}


@dataclass(frozen=True)
class Case:
    """One request, by the name of its file, with a sentence on what it shows.

    `body` is sent byte for byte. `settings` are those of the app that it is recorded from where
    they are not the usual ones; such a case is not asked of a running service. The answer's `id` is
    known as `keeps` to the cases after it. Before a case for which the `run_is_over` the runs are
    worked through; one that is `sent_times` is recorded at the last of them; one that `dawdles`
    sends its body after a while.
    """

    name: str
    shows: str
    method: str
    path: str
    body: str | None = None
    headers: Mapping[str, str] = field(default_factory=lambda: JSON)
    settings: Mapping[str, Any] = field(default_factory=dict)
    keeps: str = ""
    run_is_over: bool = False
    sent_times: int = 1
    dawdles: bool = False


LANTERN_LINES = [
    "3 1/2 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 egg",
    "3/4 cup packed brown sugar",
    "1/3 cup molasses",
    "1 1/2 tsp baking soda",
    "1 tbsp ground ginger",
    "1/2 tsp salt",
]
LANTERN = {
    "recipe": {
        "title": "Lantern ginger dough",
        "lines": [{"text": line} for line in LANTERN_LINES],
    },
    "window": {
        "flour_to_fat": {"min": 2.1, "max": 2.4},
        "soda_equivalent_percent": {"max": 1.0},
        "moisture_percent": {"min": 18, "max": 30},
    },
    "limits": {
        "keep": ["molasses"],
        "max_flour_change_percent": 15,
        "liquid_per_flour": {"min": 0.3},
    },
}
REEDS = {
    "title": "Wickhollow reed panels",
    "lines": [
        {"ingredient": "village flour", "quantity": 400, "unit": "g"},
        {"ingredient": "vegetable shortening", "quantity": 180, "unit": "g"},
        {"ingredient": "caster sugar", "quantity": 160, "unit": "g"},
        {"ingredient": "whole milk", "quantity": 45, "unit": "ml"},
        {"ingredient": "baking powder", "quantity": 2, "unit": "tsp"},
    ],
    "custom_ingredients": [
        {
            "name": "village flour",
            "role": "flour",
            "water_percent": 13,
            "fat_percent": 1,
            "sugars_percent": 0,
            "grams_per_cup": 130,
        }
    ],
}


SHORT = {
    "title": "Wickhollow short dough",
    "lines": [
        {"text": line}
        for line in (
            "3 cups all-purpose flour",
            "1 cup (227 g) unsalted butter",
            "1 cup granulated sugar",
            "1 egg",
            "2 tbsp whole milk",
            "1 1/2 tsp baking powder",
            "1/2 tsp salt",
        )
    ],
}
ROLL = {
    "form": {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 150},
    "thickness_mm": "1/8 in",
}


def ask(name: str, shows: str, path: str, body: Any, **rest: Any) -> Case:
    """Return a case that posts `body`."""
    return Case(name, shows, "POST", path, json.dumps(body, indent=1), **rest)


def look(name: str, shows: str, path: str) -> Case:
    """Return a case that gets `path`."""
    return Case(name, shows, "GET", path, headers={})


def lantern(**members: Any) -> dict[str, Any]:
    """Return the lantern brief with other members."""
    return {**copy.deepcopy(LANTERN), **members}


REFORMULATIONS = "/v1/reformulations"

CASES: tuple[Case, ...] = (
    ask("reformulated", "Flour up, soda down, all else as written", REFORMULATIONS, LANTERN),
    ask(
        "unchanged",
        "Already inside its window: every line as written",
        REFORMULATIONS,
        lantern(window={"flour_to_fat": {"min": 1.9}}),
    ),
    ask(
        "batch",
        "A batch of two and a half, every amount measurable",
        REFORMULATIONS,
        lantern(batch={"factor": 2.5}),
    ),
    ask(
        "metric",
        "Millilitre spoons and grams, with a flour of the caller's own",
        REFORMULATIONS,
        {
            "recipe": REEDS,
            "window": {"flour_to_fat": {"min": 2.4}, "soda_equivalent_percent": {"max": 0.5}},
            "measures": "metric",
        },
    ),
    ask(
        "added-line",
        "Milk may enter where moisture is short",
        REFORMULATIONS,
        lantern(
            window={"moisture_percent": {"min": 40}},
            limits={"keep": ["egg", "molasses", "unsalted butter"], "may_add": ["whole milk"]},
        ),
    ),
    ask(
        "infeasible",
        "Limits that cannot hold together, and what each would need",
        REFORMULATIONS,
        lantern(
            window={"flour_to_fat": {"min": 3.4}},
            limits={"keep": ["unsalted butter"], "liquid_per_flour": {"min": 0.3}},
        ),
    ),
    ask(
        "unfinished",
        "A deadline struck before anything was found",
        REFORMULATIONS,
        LANTERN,
        settings={"solve_seconds": 0.0},
    ),
    ask(
        "on-a-form",
        "A form and a thickness instead of a window",
        REFORMULATIONS,
        {"recipe": SHORT, "target": ROLL},
    ),
    ask(
        "too-thick",
        "A form that no formula meets, and what thickness would do",
        REFORMULATIONS,
        {"recipe": SHORT, "target": {**ROLL, "thickness_mm": 8}},
    ),
    ask(
        "twelve-pieces",
        "The batch that makes twelve pieces with whole eggs",
        REFORMULATIONS,
        {"recipe": SHORT, "target": ROLL, "batch": {"pieces": 12}},
    ),
    ask(
        "ladder",
        "Ways up, from the least harm to texture",
        "/v1/ladders",
        {"recipe": SHORT, "target": {**ROLL, "thickness_mm": "3/16 in"}, "points": 8},
    ),
    ask(
        "bake-sheet",
        "A control and a variant in a small batch, with the page to print",
        "/v1/bake-sheets",
        {"recipe": SHORT, "target": {**ROLL, "thickness_mm": "3/16 in", "may_roll_to_mm": 2}},
    ),
    ask(
        "template",
        "The flat piece to cut, with its drawing",
        "/v1/templates",
        {"target": ROLL, "pieces": 12},
    ),
    ask(
        "section",
        "A sheet on its form, thick and thin",
        "/v1/sections",
        {
            "states": [
                {"recipe": SHORT, "target": {**ROLL, "thickness_mm": "3/16 in"}},
                {"recipe": SHORT, "target": ROLL},
            ]
        },
    ),
    ask(
        "error-form",
        "A wrap and a thickness beyond what a sheet can hold",
        "/v1/templates",
        {
            "target": {
                "form": {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 350},
                "thickness_mm": "2 in",
            }
        },
    ),
    look("forms", "Every form with its dimensions", "/v1/forms"),
    ask("ratios", "A recipe by weight", "/v1/ratios", {"recipe": LANTERN["recipe"]}),
    ask(
        "ratios-in-doubt",
        "Lines read with doubt say so",
        "/v1/ratios",
        {
            "recipe": {
                "lines": [
                    {"text": "2-3 cups sifted flour"},
                    {"text": "a pinch of salt"},
                    {"text": "1 cup butter or margarine"},
                ]
            }
        },
    ),
    ask(
        "what-if",
        "Shortening for butter at equal fat, and a tenth more flour",
        "/v1/what-if",
        {
            "recipe": LANTERN["recipe"],
            "window": LANTERN["window"],
            "edits": [
                {
                    "ingredient": "unsalted butter",
                    "replace_with": "vegetable shortening",
                    "basis": "fat",
                },
                {"ingredient": "all-purpose flour", "change_percent": 10},
            ],
        },
    ),
    ask(
        "what-if-added",
        "A spoon of milk brought into a dough",
        "/v1/what-if",
        {
            "recipe": LANTERN["recipe"],
            "window": LANTERN["window"],
            "edits": [{"add": "whole milk", "quantity": 1, "unit": "tbsp"}],
        },
    ),
    ask(
        "readings",
        "Pasted text into a recipe, with what could not be read",
        "/v1/readings",
        {"text": "\n".join([*LANTERN_LINES, "Roll between two boards.", "2 handfuls of petals"])},
    ),
    look(
        "ingredients", "Ingredients by any of their names", "/v1/ingredients?query=Hirschhornsalz"
    ),
    look("ingredient", "One ingredient, with its sources", "/v1/ingredients/molasses"),
    look("measures", "What counts as measurable", "/v1/measures"),
    ask(
        "batches",
        "A list of briefs, answered line by line",
        "/v1/batches",
        {"briefs": [LANTERN, lantern(limits={"keep": ["honey"]})]},
    ),
    Case("home", "Where to look next", "GET", "/", headers={"Accept": "application/json"}),
    Case(
        "page",
        "The calculator page with the answer to its form",
        "POST",
        "/",
        "recipe=300+g+flour%0A150+g+butter",
        {"Content-Type": "application/x-www-form-urlencoded"},
    ),
    look("livez", "The service is up", "/livez"),
    look("readyz", "The service can solve", "/readyz"),
    Case(
        "error-not-json",
        "NaN is no JSON",
        "POST",
        "/v1/ratios",
        '{"recipe": {"lines": [{"ingredient": "flour", "quantity": NaN, "unit": "g"}]}}',
    ),
    Case(
        "error-nested-too-deep",
        "Nothing here nests deeper than 32",
        "POST",
        "/v1/ratios",
        '{"recipe": ' + "[" * 40 + "]" * 40 + "}",
    ),
    Case(
        "error-coded-body",
        "Bodies are sent plain",
        "POST",
        "/v1/ratios",
        "{}",
        {**JSON, "Content-Encoding": "gzip"},
    ),
    Case(
        "error-too-large",
        "A body has at most 1 MB",
        "POST",
        "/v1/ratios",
        json.dumps({"recipe": {"title": "x" * 300}}),
        settings={"max_body_bytes": 200},
    ),
    ask(
        "error-malformed",
        "Every fault at once, each with a pointer",
        REFORMULATIONS,
        {
            "recipe": {
                "lines": [
                    {"text": "3 1/2 cups all-purpose flour"},
                    {"ingredient": "buter", "quantity": 227, "unit": "g"},
                    {"text": "some sugar"},
                    {"ingredient": "salt", "quantity": -1, "unit": "tsp"},
                ]
            },
            "window": {"flour_to_fat": {"min": 2.4, "max": 2.1}},
            "measure": "us",
        },
    ),
    ask(
        "error-names",
        "Limits that name what is not in the recipe",
        REFORMULATIONS,
        lantern(limits={"keep": ["honey"], "may_add": ["egg", "ground cloves"]}),
    ),
    ask(
        "error-no-flour",
        "Every ratio is a share of the flour",
        REFORMULATIONS,
        {"recipe": {"lines": [{"text": "1 cup butter"}]}, "window": {}},
    ),
    Case(
        "error-twice",
        "A member given twice is refused",
        "POST",
        "/v1/ratios",
        '{"recipe": {"lines": [{"text": "1 cup flour"}]}, "recipe": {"lines": []}}',
    ),
    look("error-not-found", "Nothing at this address", "/v1/recipies"),
    look("error-method", "The address takes another method", REFORMULATIONS),
    ask(
        "error-busy",
        "Every worker is busy: try again",
        REFORMULATIONS,
        LANTERN,
        settings={"workers": 1, "queue_length": -1},
    ),
)
