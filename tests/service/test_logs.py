"""The log: lines that programs read, and that never repeat what somebody sent."""

import io
import json
import logging

import pytest
from sqlalchemy import text
from structlog.contextvars import bound_contextvars

from service.app import create_app
from service.logs import formatter
from service.settings import Settings
from service.store.database import Database
from tests.service.conftest import RunningApp
from tests.service.databases import fresh_database


@pytest.fixture
def written(request):
    """A logger of its own, and the stream that its lines go to."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(formatter(stream))
    logger = logging.getLogger(f"tests.{request.node.name}")
    logger.propagate = False
    logger.addHandler(handler)
    yield logger, stream
    logger.removeHandler(handler)


def lines_of(stream):
    return [json.loads(line) for line in stream.getvalue().splitlines()]


def test_a_line_is_one_event_whatever_it_holds(written):
    """Line ends in what is told are no line ends of the log; the request's id goes along."""
    logger, stream = written
    with bound_contextvars(request_id="seven"):
        logger.warning("%s is put off", "a\nforged line", extra={"chunk": 3})
    [line] = lines_of(stream)
    assert line["event"] == "a\nforged line is put off"
    assert (line["level"], line["chunk"], line["request_id"]) == ("warning", 3, "seven")
    assert line["timestamp"].endswith("Z")


def test_an_error_is_told_by_kind_and_place_alone(written):
    """The words of an error may quote a recipe; its kind, its causes' and their places do not."""
    logger, stream = written
    try:
        try:
            raise KeyError("grandmother's dough")
        except KeyError as first:
            raise RuntimeError("over grandmother's dough") from first
    except RuntimeError:
        logger.exception("request %s failed", "one")
    [line] = lines_of(stream)
    assert [error["kind"] for error in line["error"]] == ["RuntimeError", "KeyError"]
    assert all("test_logs.py" in error["at"][-1] for error in line["error"])
    assert "grandmother" not in stream.getvalue()


def test_a_statement_that_fails_does_not_repeat_what_it_was_given(tmp_path):
    """The database's errors name the statement and not its values."""
    database = Database(f"sqlite:///{tmp_path}/empty.sqlite3")
    with (
        pytest.raises(Exception, match="no such table: shelf") as failed,
        database.reading() as connection,
    ):
        connection.execute(text("SELECT * FROM shelf WHERE dough = :it"), {"it": "grandmother's"})
    causes = f"{failed.value} {failed.value.__cause__} {failed.value.__context__}"
    assert "grandmother" not in causes
    database.close()


def test_a_first_start_on_postgresql_warns_of_nothing(tmp_path, caplog):
    """An empty database is how a service begins: nothing is amiss."""
    with fresh_database("postgresql", tmp_path) as url:
        settings = Settings(database_url=url, workers=1, run_processes=1)
        with (
            caplog.at_level(logging.INFO),
            RunningApp(create_app(settings)) as running,
        ):
            assert running.get("/readyz").status_code == 200
    assert [r.getMessage() for r in caplog.records if r.levelno > logging.INFO] == []
