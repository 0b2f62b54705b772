"""The store under kill -9: what was acknowledged is there, and nothing is there twice."""

import random
import sys
import threading
import time
import uuid

import httpx
import pytest

from service.app import create_app
from service.settings import Settings
from service.store import recipes
from service.store.callers import SINGLE_USER
from service.store.database import Database
from tests.end_to_end.conftest import running
from tests.service.conftest import RunningApp
from tests.service.databases import fresh_database

WRITERS = 4


class Log:
    """What a service acknowledged, and what was asked of it under which key."""

    def __init__(self):
        self.acknowledged = {}
        self.asked = []

    def write(self, url, recipe):
        """Store recipe after recipe until the service is gone."""
        with httpx.Client(base_url=url, trust_env=False, timeout=30) as client:
            while True:
                key = str(uuid.uuid4())
                body = {"recipe": recipe, "external_id": key}
                self.asked.append(key)
                try:
                    answer = client.post("/v1/recipes", json=body, headers={"Idempotency-Key": key})
                except httpx.TransportError:
                    return
                assert answer.status_code == 201, answer.text
                self.acknowledged[key] = answer.content


def write_until_killed(command, folder, log, recipe):
    with running(command, folder) as server:
        writers = [
            threading.Thread(target=log.write, args=(server.url, recipe)) for _ in range(WRITERS)
        ]
        for writer in writers:
            writer.start()
        enough = len(log.acknowledged) + random.randint(10, 60)
        while len(log.acknowledged) < enough:
            time.sleep(0.001)
        server.process.kill()
        for writer in writers:
            writer.join()


@pytest.mark.parametrize(("kind", "kills"), [("sqlite", 3), ("postgresql", 2)])
def test_what_was_acknowledged_is_there_after_every_kill(kind, kills, tmp_path, recipe):
    """A service is killed while four write to it, after ten to sixty acknowledgements. Every recipe
    that it acknowledged is in the database, once; and every request sent again with its key is
    answered, the acknowledged ones to the byte."""
    log = Log()
    with fresh_database(kind, tmp_path) as url:
        command = [sys.executable, "-m", "service", "--port", "0", "--database", url]
        for _ in range(kills):
            write_until_killed(command, tmp_path, log, recipe)
        kept = kept_recipes(url)
        assert len(kept) == len(set(kept))
        assert set(log.acknowledged) <= set(kept) <= set(log.asked)
        with RunningApp(create_app(Settings(database_url=url, workers=1))) as restarted:
            send_again(restarted, log, recipe)
        assert sorted(kept_recipes(url)) == sorted(log.asked)


def kept_recipes(url):
    """Return what each recipe in the database is called outside."""
    database = Database(url)
    with database.reading() as connection:
        found = recipes.list_recipes(connection, SINGLE_USER, recipes.Sought(), "", 1_000_000)
    database.close()
    return [entry.external_id for entry in found]


def send_again(service, log, recipe):
    sample = random.sample(sorted(log.acknowledged), 20)
    unanswered = set(log.asked) - set(log.acknowledged)
    for key in [*sample, *unanswered]:
        body, headers = {"recipe": recipe, "external_id": key}, {"Idempotency-Key": key}
        answer = service.post("/v1/recipes", json=body, headers=headers)
        assert answer.status_code == 201
        assert answer.content == log.acknowledged.get(key, answer.content)


@pytest.fixture
def recipe():
    return {"lines": [{"text": "2 cups all-purpose flour"}, {"text": "1/2 cup unsalted butter"}]}
