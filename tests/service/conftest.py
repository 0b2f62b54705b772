"""The real app behind an in-process HTTP client, with a real pool and a real database."""

import asyncio
import threading
import uuid
from collections.abc import Coroutine, Iterator
from pathlib import Path
from typing import Any, TypeVar

import httpx
import pytest
from fastapi import FastAPI

from service.app import create_app
from service.http.callers import issue_key
from service.settings import Settings
from tests.service.databases import KINDS, fresh_database

T = TypeVar("T")


class RunningApp:
    """An app that has started, asked from outside its event loop as a client would."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever)
        transport = httpx.ASGITransport(app)
        self._client = httpx.AsyncClient(transport=transport, base_url="http://localhost")

    def __enter__(self) -> "RunningApp":
        self._thread.start()
        self._lifespan = self.app.router.lifespan_context(self.app)
        self.wait_for(self._lifespan.__aenter__())
        return self

    def __exit__(self, *_: object) -> None:
        self.wait_for(self._client.aclose())
        self.wait_for(self._lifespan.__aexit__(None, None, None))
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    def wait_for(self, coroutine: Coroutine[Any, Any, T]) -> T:
        return asyncio.run_coroutine_threadsafe(coroutine, self._loop).result(timeout=60)

    def ask(self, method: str, address: str, **rest: Any) -> httpx.Response:
        return self.wait_for(self._client.request(method, address, **rest))

    def get(self, address: str, **rest: Any) -> httpx.Response:
        return self.ask("GET", address, **rest)

    def post(self, address: str, **rest: Any) -> httpx.Response:
        return self.ask("POST", address, **rest)


class Caller:
    """Someone who asks a running app with a key of their own."""

    def __init__(self, running: RunningApp, name: str) -> None:
        self.running = running
        self.key = issue_key(running.app.state.wiring.database, name).text

    def ask(self, method: str, address: str, **rest: Any) -> httpx.Response:
        headers = {"Authorization": f"Bearer {self.key}", **rest.pop("headers", {})}
        return self.running.ask(method, address, headers=headers, **rest)

    def get(self, address: str, **rest: Any) -> httpx.Response:
        return self.ask("GET", address, **rest)

    def post(self, address: str, **rest: Any) -> httpx.Response:
        return self.ask("POST", address, **rest)

    def make(self, address: str, body: Any) -> Any:
        """Store something, and return it."""
        answer = self.post(address, json=body)
        assert answer.status_code == 201, answer.text
        return answer.json()

    def pages(self, address: str, member: str) -> list[Any]:
        """Return everything in a list, page by page as its links lead."""
        found: list[Any] = []
        while address:
            answer = self.get(address)
            assert answer.status_code == 200, answer.text
            found += answer.json()[member]
            address = answer.links.get("next", {}).get("url", "")
        return found


@pytest.fixture(scope="session", params=KINDS)
def keyed_service(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[RunningApp]:
    """A service for many callers, each with a key; on SQLite and on PostgreSQL."""
    with fresh_database(request.param, tmp_path_factory.mktemp("keyed")) as url:
        settings = Settings(
            database_url=url, workers=2, single_user=False, keyed_requests_per_minute=0
        )
        with RunningApp(create_app(settings)) as running:
            yield running


@pytest.fixture
def baker(keyed_service: RunningApp) -> Caller:
    """A caller who has stored nothing yet."""
    return Caller(keyed_service, f"baker {uuid.uuid4()}")


@pytest.fixture
def stranger(keyed_service: RunningApp) -> Caller:
    """Another caller of the same service."""
    return Caller(keyed_service, f"stranger {uuid.uuid4()}")


@pytest.fixture
def recipe() -> dict[str, Any]:
    """A plain dough in three lines."""
    return {
        "title": "Reed panel dough",
        "lines": [
            {"text": "2 cups all-purpose flour"},
            {"text": "1/2 cup unsalted butter"},
            {"ingredient": "egg", "quantity": 1, "unit": "each"},
        ],
    }


@pytest.fixture(scope="session")
def settings(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    folder: Path = tmp_path_factory.mktemp("database")
    return Settings(database_url=f"sqlite:///{folder}/formhold.sqlite3", workers=2)


@pytest.fixture(scope="session")
def client(settings: Settings) -> Iterator[RunningApp]:
    with RunningApp(create_app(settings)) as running:
        yield running
