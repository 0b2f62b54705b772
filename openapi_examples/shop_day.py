"""A shop's day: what is stored, asked for in one order of one service, from nothing to nothing.

`{catalogue}` in an address, a header or a body stands for what an earlier answer was named by.
"""

import json
from typing import Any

from openapi_examples.cases import JSON, LANTERN, LANTERN_LINES, Case

REED_LINES = ["300 g flour", "150 g butter", "100 g sugar", "1 egg"]
RECIPES_AS_CSV = """\
recipe,title,line
reed,Wickhollow reed panels,300 g flour
reed,Wickhollow reed panels,150 g butter
reed,Wickhollow reed panels,100 g sugar
reed,Wickhollow reed panels,1 egg
glaze,Window glaze,200 g sugar
glaze,Window glaze,2 egg whites
"""
DRUM = {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 120}
GINGER = {"title": "Lantern ginger dough", "lines": [{"text": line} for line in LANTERN_LINES]}
TRAY = {
    "recipe": GINGER,
    "form": DRUM,
    "sheets": [
        {"thickness_mm": 5, "pieces": [{"crack_grade": 3}, {"crack_grade": 2}]},
        {"thickness_mm": 3.5, "pieces": [{"crack_grade": 0}, {"crack_grade": 0}]},
    ],
    "flat_round": {"thickness_mm": 5, "before_mm": 60, "after_mm": 64},
    "baked_at": "2026-11-10T09:30:00+01:00",
    "note": "The stone oven, well heated.",
}
TRAYS_AS_NDJSON = json.dumps({**TRAY, "baked_at": "2026-11-11T09:30:00+01:00"}) + "\n"
TITLE = {"title": "Wickhollow lantern-makers"}
SEEN_ONCE, SEEN_TWICE, ANY = {"If-Match": '"1"'}, {"If-Match": '"2"'}, {"If-Match": "*"}
C, R, K, T, N = (
    "/v1/catalogues/{catalogue}",
    "/v1/recipes/{recipe}",
    "/v1/kitchens/{kitchen}",
    "/v1/kitchens/{kitchen}/trials/{trial}",
    "/v1/runs/{run}",
)
"""Addresses of one catalogue, recipe, kitchen, trial and run."""


def send(name: str, shows: str, path: str, body: Any, **rest: Any) -> Case:
    """Return a case that sends `body` as JSON, with POST unless told."""
    headers = {**JSON, **rest.pop("headers", {})}
    return Case(
        name, shows, rest.pop("method", "POST"), path, json.dumps(body, indent=1), headers, **rest
    )


def get(name: str, shows: str, path: str, **rest: Any) -> Case:
    """Return a case that gets `path`."""
    return Case(name, shows, "GET", path, headers=rest.pop("headers", {}), **rest)


def delete(name: str, shows: str, path: str, seen: dict[str, str] = ANY) -> Case:
    """Return a case that deletes what was seen in that state."""
    return Case(name, shows, "DELETE", path, headers=seen)


def put(name: str, shows: str, path: str, body: Any, seen: dict[str, str]) -> Case:
    """Return a case that changes what was seen in that state."""
    return send(name, shows, path, body, method="PUT", headers=seen)


_RECIPES = (
    send(
        "catalogue-made",
        "A catalogue, made once however often it is sent",
        "/v1/catalogues",
        TITLE,
        headers={"Idempotency-Key": "wickhollow-1"},
        keeps="catalogue",
    ),
    send(
        "error-key-reused",
        "An Idempotency-Key that came with another request before",
        "/v1/catalogues",
        {"title": "Another"},
        headers={"Idempotency-Key": "wickhollow-1"},
    ),
    get("metrics", "What the service has been doing, all figures nought here", "/metrics"),
    get("catalogues", "Every catalogue of the caller", "/v1/catalogues"),
    get("catalogue", "A catalogue with its ETag", C),
    put("catalogue-renamed", "A new title for the state that was seen", C, TITLE, SEEN_ONCE),
    put("error-stale", "Somebody changed it since", C, TITLE, SEEN_ONCE),
    send("error-no-precondition", "A change without If-Match", C, TITLE, method="PUT"),
    Case(
        "recipes-imported",
        "A file of recipes; one without flour is kept and marked",
        "POST",
        C + "/import",
        RECIPES_AS_CSV,
        {"Content-Type": "text/csv"},
    ),
    get("recipes-exported", "A line a recipe, which may be imported again", C + "/export"),
    get("recipes-of-a-name", "Look up by the shop's own id", "/v1/recipes?external_id=reed"),
    send(
        "recipe-stored",
        "A recipe in a catalogue",
        "/v1/recipes",
        {"recipe": GINGER, "catalogue_id": "{catalogue}", "external_id": "ginger"},
        keeps="recipe",
    ),
    get("recipes", "A page of recipes, with a Link to the next", "/v1/recipes?limit=1"),
    get("recipe", "A recipe as it was written", R),
    get("recipe-known", "Nothing new since that ETag", R, headers={"If-None-Match": '"1"'}),
    put(
        "recipe-revised",
        "The next version",
        R,
        {"recipe": {**GINGER, "title": "Lantern ginger dough, for drums"}},
        SEEN_ONCE,
    ),
    get("recipe-versions", "Every version that it ever had", R + "/versions"),
)
_RUN = (
    send(
        "run-started",
        "One brief over a whole catalogue",
        "/v1/runs",
        {"catalogue_id": "{catalogue}", "window": {"flour_to_fat": {"min": 2.12}}},
        keeps="run",
    ),
    send(
        "error-misspelt-keep",
        "A name to keep that is in none of the recipes",
        "/v1/runs",
        {"catalogue_id": "{catalogue}", "window": {}, "limits": {"keep": ["moonrock"]}},
    ),
    send("error-at-work", "Changes are taken over from a run that is over", N + "/apply", {}),
    send(
        "notice",
        "An address to be told of the run's end, and the secret that signs what it is told",
        N + "/notice",
        {"url": "https://hooks.wickhollow.example/runs", "secret": "nobody-knows-this-one"},
        method="PUT",
    ),
    get("notice-kept", "Whether it was told", N + "/notice"),
    send(
        "error-not-allowed",
        "The service calls only whom its operator allows",
        N + "/notice",
        {"url": "https://192.168.1.1/", "secret": "nobody-knows-this-one"},
        method="PUT",
    ),
    Case("notice-forgotten", "Nobody is told", "DELETE", N + "/notice", headers={}),
    get("run", "How far it is", N, run_is_over=True),
    get("runs", "The runs over one catalogue", "/v1/runs?catalogue_id={catalogue}"),
    put("run-renamed", "A title for a run", N, {"title": "Firmer for the season"}, SEEN_ONCE),
    get("run-events", "How it comes on, to its end", N + "/events"),
    get(
        "run-events-resumed",
        "Nothing is left to say to who has seen the end",
        N + "/events",
        headers={"Last-Event-ID": "finished-3"},
    ),
    get("run-items", "What came of each recipe", N + "/items"),
    get("run-recipes", "The catalogue as the run proposes it", N + "/recipes?format=csv"),
    get("run-report", "What moved, by how much and why", N + "/report"),
    send("run-applied", "One recipe's change taken over", N + "/apply", {"recipes": ["{recipe}"]}),
    send(
        "run-to-cancel",
        "Another brief over the same recipes",
        "/v1/runs",
        {"catalogue_id": "{catalogue}", "window": {"moisture_percent": {"max": 25}}},
        keeps="second",
    ),
    Case("run-cancelled", "It goes no further", "POST", "/v1/runs/{second}/cancel", headers={}),
    delete("run-deleted", "A run that is over, with all that came of it", N),
)
_KITCHEN = (
    send("kitchen-added", "A kitchen", "/v1/kitchens", {"name": "Stone oven"}, keeps="kitchen"),
    get("kitchens", "Every kitchen of the caller", "/v1/kitchens"),
    get("kitchen", "A kitchen with its ETag", K),
    put("kitchen-renamed", "A better name", K, {"name": "Wickhollow, stone oven"}, SEEN_ONCE),
    send("trial-told", "A tray, piece by piece", K + "/trials", TRAY, keeps="trial"),
    get("trials", "The trays of a kitchen", K + "/trials"),
    get("trial", "A tray as it was told last", T),
    put("trial-corrected", "A tray told anew", T, {**TRAY, "texture": 1}, SEEN_ONCE),
    get("trial-versions", "Every telling of it", T + "/versions"),
    Case(
        "trials-imported",
        "Trays from a file",
        "POST",
        K + "/import",
        TRAYS_AS_NDJSON,
        {"Content-Type": "application/x-ndjson"},
    ),
    get("trials-exported", "A piece a row", K + "/export?format=csv"),
    send(
        "next-bake",
        "What to bake next in this kitchen",
        K + "/next-bake",
        {"recipe": GINGER, "target": {"form": DRUM, "thickness_mm": 5}, "preference": "safer"},
    ),
    get("lessons", "What each tray taught", K + "/lessons"),
    delete("trial-forgotten", "Nothing is learned from it any more", T, SEEN_TWICE),
    delete("kitchen-deleted", "A kitchen with its trials", K + "?trials=delete"),
)
_ENDS = (
    delete("recipe-deleted", "A recipe with its versions", R),
    delete("error-conflict", "A catalogue that still holds recipes", C),
    delete("catalogue-deleted", "A catalogue with its recipes", C + "?recipes=delete"),
    get("error-not-yours", "What is deleted, or somebody else's, is not there", C),
)
STORY: tuple[Case, ...] = (*_RECIPES, *_RUN, *_KITCHEN, *_ENDS)

_KEYED = {"single_user": False}
REFUSALS: tuple[Case, ...] = (
    get(
        "error-no-key", "What is stored is for whoever bears a key", "/v1/recipes", settings=_KEYED
    ),
    get(
        "error-foreign-page",
        "Another site's page may not look into what one person stores",
        "/v1/recipes",
        headers={"Origin": "https://elsewhere.example"},
        settings={"workers": 1},
    ),
    send(
        "error-too-slow",
        "A body that does not arrive",
        "/v1/ratios",
        {"recipe": LANTERN["recipe"]},
        settings={"body_seconds": 0.01},
        dawdles=True,
    ),
    get(
        "error-too-many",
        "One request a minute is allowed here, and this is the second",
        "/v1/measures",
        settings={"open_requests_per_minute": 1},
        sent_times=2,
    ),
)
