"""The recorded pairs, written into the operations of the OpenAPI document that they are of.

Pairs are recorded by `openapi_examples`, whose files are installed with the service.
"""

import json
import re
from importlib.resources import files
from typing import Any
from urllib.parse import parse_qsl, unquote

Pairs = dict[str, dict[str, Any]]
Json = dict[str, Any]

_DOCUMENT = "openapi.json"
_HEADERS = {
    "Content-Disposition": "The name that a file is given.",
    "ETag": "The state of what is answered, for `If-Match` and `If-None-Match`.",
    "Link": "The address of the next page, where there is one.",
    "Location": "The address of what was made.",
    "Retry-After": "Seconds to wait.",
    "WWW-Authenticate": "How to send a key.",
}
"""Headers that say something of one answer; each is described where a recorded answer has it."""


def pairs_on_file() -> Pairs:
    """Return every recorded pair by its name."""
    found = sorted(
        (file for file in files("openapi_examples").iterdir() if file.name.endswith(".json")),
        key=lambda file: file.name,
    )
    return {
        file.name.removesuffix(".json"): json.loads(file.read_text("utf-8"))
        for file in found
        if file.name != _DOCUMENT
    }


def write_examples(document: Json, pairs: Pairs) -> None:
    """Write each pair into its operation: what is sent, under which names, and what comes back."""
    templates = [(_pattern(path), operations) for path, operations in document["paths"].items()]
    for name, pair in sorted(pairs.items()):
        path, _, query = pair["request"]["path"].partition("?")
        for pattern, operations in templates:
            named = pattern.fullmatch(path)
            operation = operations.get(pair["request"]["method"].lower())
            if named is not None and operation is not None:
                sent = {**named.groupdict(), **dict(parse_qsl(query)), **pair["request"]["headers"]}
                _write(operation, name, pair, sent)
                break


def _write(operation: Json, name: str, pair: Json, sent: dict[str, str]) -> None:
    request, response = pair["request"], pair["response"]
    for parameter in operation.get("parameters", ()):
        if response["status"] < 400 and parameter["name"] in sent:
            value = _as_sent(sent[parameter["name"]], parameter["schema"])
            _add(parameter, name, pair, value)
    kind = _media_type(request["headers"], "Content-Type")
    bodies = operation.get("requestBody", {}).get("content", {})
    fits = response["status"] < 400 or isinstance(request["body"], dict)
    if kind in bodies and request["body"] is not None and fits:
        _add(bodies[kind], name, pair, request["body"])
    answered = operation["responses"].get(str(response["status"]), {})
    media = answered.get("content", {}).get(_media_type(response["headers"], "content-type"))
    if media is not None:
        _add(media, name, pair, response["body"])
    for header, sentence in _HEADERS.items():
        if answered and header.lower() in response["headers"]:
            described = answered.setdefault("headers", {}).setdefault(
                header, {"description": sentence, "schema": {"type": "string"}}
            )
            value = response["headers"][header.lower()]
            _add(described, name, pair, _as_sent(value, described["schema"]))


def _add(place: Json, name: str, pair: Json, value: Any) -> None:
    place.setdefault("examples", {})[name] = {"summary": pair["shows"], "value": value}


def _pattern(template: str) -> re.Pattern[str]:
    return re.compile(re.sub(r"\\{(\w+)\\}", r"(?P<\1>[^/]+)", re.escape(template)))


def _as_sent(text: str, schema: Json) -> Any:
    kinds = [schema, *schema.get("anyOf", ())]
    if any(kind.get("type") == "integer" for kind in kinds) and text.isdigit():
        return int(text)
    return unquote(text)


def _media_type(headers: dict[str, str], name: str) -> str:
    return headers.get(name, "").partition(";")[0].strip()
