"""Record every case from the real app, or with --check compare it with what is on file.

    python -m openapi_examples.record [--check]

Writes one file a case and `openapi.json`, the service's own document with the cases merged in.
"""

import asyncio
import difflib
import json
import sys
import tempfile
from contextlib import AsyncExitStack
from pathlib import Path
from typing import Any

import httpx

from openapi_examples.cases import CASES, Case
from service.app import create_app
from service.settings import Settings

HERE = Path(__file__).parent
UNHURRIED_SECONDS = 120.0
"""What is recorded must not depend on how busy the machine is."""
VOLATILE_HEADERS = {"x-request-id", "content-length", "date", "server"}


def main(arguments: list[str]) -> int:
    """Write the files, or return 1 where they are not what the app answers today."""
    made = files()
    if "--check" not in arguments:
        for path in HERE.glob("*.json"):
            path.unlink()
        for name, text in made.items():
            (HERE / name).write_text(text)
        print(f"{len(made)} files recorded")
        return 0
    stale = [name for name, text in made.items() if on_file(name) != text]
    stale += [path.name for path in HERE.glob("*.json") if path.name not in made]
    for name in stale:
        old, new = on_file(name).splitlines(), made.get(name, "").splitlines()
        print(
            *list(difflib.unified_diff(old, new, name, "as answered", lineterm=""))[:40], sep="\n"
        )
    print(f"{len(made)} examples, {len(stale)} not as the app answers")
    return 1 if stale else 0


def files() -> dict[str, str]:
    """Return every file's name and content, as the app answers today."""
    with tempfile.TemporaryDirectory() as folder:
        address = f"sqlite:///{folder}/examples.sqlite3"
        contents = {case.name: asyncio.run(recorded(case, address)) for case in CASES}
        document = create_app(Settings(database_url=address)).openapi()
    merge(document, contents)
    return {f"{name}.json": as_text(c) for name, c in {**contents, "openapi": document}.items()}


async def recorded(case: Case, database_url: str) -> dict[str, Any]:
    """Return one case with the app's answer."""
    settings = {"solve_seconds": UNHURRIED_SECONDS, **case.settings}
    app = create_app(Settings(database_url=database_url, **settings))
    async with AsyncExitStack() as stack:
        if not case.settings:  # an app that cannot answer would never get ready
            await stack.enter_async_context(app.router.lifespan_context(app))
        transport = httpx.ASGITransport(app, raise_app_exceptions=False)
        client = httpx.AsyncClient(transport=transport, base_url="http://localhost")
        await stack.enter_async_context(client)
        answer = await client.request(
            case.method, case.path, content=case.body, headers=dict(case.headers)
        )
    headers = {k: v for k, v in answer.headers.items() if k not in VOLATILE_HEADERS}
    return {
        "shows": case.shows,
        "request": {
            "method": case.method,
            "path": case.path,
            "headers": dict(case.headers),
            "body": _body(case.body),
        },
        "response": {"status": answer.status_code, "headers": headers, "body": answer_of(answer)},
        **({"settings": dict(case.settings)} if case.settings else {}),
    }


def merge(document: dict[str, Any], pairs: dict[str, dict[str, Any]]) -> None:
    """Write the pairs into the operations that they are examples of."""
    for name, pair in pairs.items():
        request, response = pair["request"], pair["response"]
        path = document["paths"].get(request["path"].partition("?")[0], {})
        operation = path.get(request["method"].lower())
        if operation is None:
            continue
        example = {"summary": pair["shows"]}
        if isinstance(request["body"], dict):
            bodies = operation["requestBody"]["content"]["application/json"]
            bodies.setdefault("examples", {})[name] = {**example, "value": request["body"]}
        answers = operation["responses"].get(str(response["status"]), {}).get("content", {})
        for media in answers.values():
            media.setdefault("examples", {})[name] = {**example, "value": response["body"]}


def _body(sent: str | None) -> Any:
    """Return the body as JSON, or as the text it is where JSON would not keep it."""
    try:
        value = json.loads(sent or "null", parse_constant=lambda name: 1 / 0)
    except (ValueError, ZeroDivisionError):
        return sent
    return value if json.dumps(value, indent=1) == sent or sent is None else sent


def answer_of(answer: Any) -> Any:
    """Return an answer's body: JSON where it is JSON, else text."""
    return answer.json() if "json" in answer.headers.get("content-type", "") else answer.text


def as_text(content: Any) -> str:
    """Return JSON as it stands on file."""
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


def on_file(name: str) -> str:
    """Return what was recorded under `name`, nothing where there is none."""
    path = HERE / name
    return path.read_text() if path.exists() else ""


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
