"""Asking the real app a case, or a story of cases, and what it answered as it goes on file."""

import asyncio
import json
from collections.abc import AsyncIterator, Iterable, Iterator
from contextlib import AsyncExitStack
from typing import Any

import httpx
from fastapi import FastAPI

from openapi_examples.cases import Case
from openapi_examples.steady import Names
from service.app import create_app
from service.runs.chunks import run_chunk
from service.settings import Settings
from service.store.runs import lacking_chunks, open_runs

UNHURRIED_SECONDS = 120.0
"""What is recorded must not depend on how busy the machine is."""

DAWDLE_SECONDS = 0.5
_END_OF_TITLE = "</title>"


class ByHand:
    """An engine that works through runs when it is told to, so that each answer has its moment."""

    def start(self) -> None:
        """Do nothing yet."""

    def wake(self) -> None:
        """Do nothing yet."""

    def close(self) -> None:
        """Leave what is left."""


def recorded(case: Case, database_url: str) -> dict[str, Any]:
    """Return one case with the app's answer."""
    return asyncio.run(_each([case], database_url, dict(case.settings)))[case.name]


def recorded_story(story: Iterable[Case], database_url: str) -> dict[str, dict[str, Any]]:
    """Return the cases of a story, asked of one app, with its answers."""
    return asyncio.run(_each(story, database_url, {}))


async def _each(
    story: Iterable[Case], database_url: str, unusual: dict[str, Any]
) -> dict[str, dict[str, Any]]:
    usual = {"solve_seconds": UNHURRIED_SECONDS, "notify_hosts": "hooks.wickhollow.example"}
    settings = Settings(database_url=database_url, **{**usual, **unusual})
    app = create_app(settings, ByHand())
    names, known, pairs = Names(), {}, {}
    async with AsyncExitStack() as stack:
        if not unusual:  # an app that cannot answer would never get ready
            await stack.enter_async_context(app.router.lifespan_context(app))
        transport = httpx.ASGITransport(app, raise_app_exceptions=False)
        client = httpx.AsyncClient(transport=transport, base_url="http://localhost")
        await stack.enter_async_context(client)
        for case in story:
            if case.run_is_over:
                work_through_runs(app)
            asked = filled(case, known)
            for _ in range(case.sent_times):
                content = slowly(asked["content"]) if case.dawdles else asked["content"]
                answer = await client.request(**{**asked, "content": content})
            if case.keeps:
                known[case.keeps] = answer.json()["id"]
            pairs[case.name] = _pair(case, asked, answer, names)
    return pairs


async def slowly(body: str) -> AsyncIterator[bytes]:
    """Yield `body` after a while."""
    await asyncio.sleep(DAWDLE_SECONDS)
    yield body.encode()


def work_through_runs(app: FastAPI) -> None:
    """Solve everything that the runs of `app` still lack."""
    wired = app.state.wiring
    with wired.database.reading() as connection:
        lacking = [
            c for r, total in open_runs(connection) for c in lacking_chunks(connection, r, total)
        ]
    for chunk in lacking:
        run_chunk(wired.database, chunk, UNHURRIED_SECONDS)


def filled(case: Case, known: dict[str, str]) -> dict[str, Any]:
    """Return the request of `case`, with the names of what is `known` in their places."""
    path, body = case.path, case.body
    for name, identity in known.items():
        path = path.replace(f"{{{name}}}", identity)
        body = body and body.replace(f'"{{{name}}}"', f'"{identity}"')
    return {"method": case.method, "url": path, "content": body, "headers": dict(case.headers)}


def _pair(
    case: Case, asked: dict[str, Any], answer: httpx.Response, names: Names
) -> dict[str, Any]:
    body = asked["content"] and names.steady(asked["content"])
    return {
        "shows": case.shows,
        "request": {
            "method": case.method,
            "path": names.steady(asked["url"]),
            "headers": dict(case.headers),
            "body": _sent(body),
        },
        "response": {
            "status": answer.status_code,
            "headers": names.headers(answer.headers, answer.status_code),
            "body": answer_of(answer, names),
        },
        **({"settings": dict(case.settings)} if case.settings else {}),
    }


def _sent(body: str | None) -> Any:
    """Return the body as JSON, or as the text it is where JSON would not keep it."""
    try:
        value = json.loads(body or "null", parse_constant=lambda name: 1 / 0)
    except (ValueError, ZeroDivisionError):
        return body
    return value if body is None or json.dumps(value, indent=1) == body else body


def answer_of(answer: httpx.Response, names: Names) -> Any:
    """Return an answer's body: JSON where it is JSON, a page by its head, else text."""
    text = names.steady(answer.text)
    kind = answer.headers.get("content-type", "").partition(";")[0]
    if kind == "text/html":
        return text.partition(_END_OF_TITLE)[0] + _END_OF_TITLE + " …"
    return json.loads(text) if text and kind.endswith("json") and "ndjson" not in kind else text


def told(pairs: dict[str, dict[str, Any]]) -> Iterator[tuple[str, str]]:
    """Yield the name of each pair's file, and what stands in it."""
    for name, pair in pairs.items():
        yield f"{name}.json", as_text(pair)


def as_text(content: Any) -> str:
    """Return JSON as it stands on file."""
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"
