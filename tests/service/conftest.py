"""The real app behind an in-process HTTP client, with a real pool and a real database."""

import asyncio
import threading
from collections.abc import Coroutine, Iterator
from pathlib import Path
from typing import Any, TypeVar

import httpx
import pytest
from fastapi import FastAPI

from service.app import create_app
from service.settings import Settings

T = TypeVar("T")


class RunningApp:
    """An app that has started, asked from outside its event loop as a client would."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever)
        transport = httpx.ASGITransport(app)
        self._client = httpx.AsyncClient(transport=transport, base_url="http://formhold.test")

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


@pytest.fixture(scope="session")
def settings(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    folder: Path = tmp_path_factory.mktemp("database")
    return Settings(database_url=f"sqlite:///{folder}/formhold.sqlite3", workers=2)


@pytest.fixture(scope="session")
def client(settings: Settings) -> Iterator[RunningApp]:
    with RunningApp(create_app(settings)) as running:
        yield running
