"""What schemathesis is helped with: files, bodies that mean something, and names of what is there.

Random words seldom make a dough. So most requests that are meant to be good bear the recorded body
of their operation, about things that an answer has named before; the others stay as generated.
"""

import json
import random
import re
from pathlib import Path
from typing import Any

import schemathesis

PAIRS = Path(__file__).parents[2] / "openapi_examples"
NAME = re.compile(r"\b(cat|rec|run|kit|trial)_[0-9a-z]{26}\b")
KINDS = {
    "catalogue_id": "cat",
    "recipe_id": "rec",
    "run_id": "run",
    "kitchen_id": "kit",
    "trial_id": "trial",
}
HELPED = 0.7
"""The share of good requests that are helped, in their names and in bodies that are kept."""
SOLVED = 0.03
"""The share that are to be solved: each takes as long as a hundred others."""

chance = random.Random(7)
known: dict[str, str] = {}
document = json.loads((PAIRS / "openapi.json").read_text())


@schemathesis.serializer("application/x-ndjson", "text/csv", "application/x-www-form-urlencoded")
def as_text(_: Any, value: Any) -> bytes:
    """Return a file as it is sent."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


@schemathesis.hook
def before_call(_: Any, case: Any, **__: Any) -> None:
    """Help a request that is meant to be good."""
    if case.meta is None or not case.meta.generation.mode.is_positive:
        return
    for name, kind in KINDS.items():
        given = (case.path_parameters or {}).get(name)
        if given is not None and not NAME.fullmatch(given) and chance.random() < HELPED:
            case.path_parameters[name] = known.get(kind, given)
    if "If-Match" in (case.headers or {}) and chance.random() < HELPED:
        case.headers["If-Match"] = "*"
    bodies = recorded_bodies(case.method, case.path, case.media_type)
    is_kept = "shop" in case.operation.tags and not case.path.endswith("next-bake")
    if bodies and chance.random() < (HELPED if is_kept else SOLVED):
        case.body = about_what_is_there(chance.choice(bodies))


@schemathesis.hook
def after_call(_: Any, case: Any, response: Any) -> None:
    """Remember the names of what is there."""
    if response.status_code < 300:
        for found in NAME.finditer(response.content.decode("utf-8", "replace")):
            known[found[1]] = found[0]


def recorded_bodies(method: str, path: str, media_type: str | None) -> list[Any]:
    """Return the recorded bodies of an operation that were answered."""
    operation = document["paths"][path][method.lower()]
    sent = operation.get("requestBody", {}).get("content", {}).get(media_type, {})
    examples = sent.get("examples", {})
    return [each["value"] for name, each in examples.items() if not name.startswith("error")]


def about_what_is_there(body: Any) -> Any:
    """Return `body` with recorded names exchanged for those of what is there."""
    text = NAME.sub(lambda found: known.get(found[1], found[0]), json.dumps(body))
    return json.loads(text)
