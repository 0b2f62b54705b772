"""The commands around runs: a catalogue's file run through, and what is refused."""

import json

import pytest

from service.command_line.commands import main
from tests.service.runs.shop import lines_of

WINDOW = ["--flour-to-fat", "1.8:"]


@pytest.fixture
def shop(tmp_path):
    """A catalogue in a file: six doughs, and one that cannot be read."""
    rows = [f"d{i};Dough {i};{line}" for i in [*range(6), 24] for line in lines_of(i)]
    file = tmp_path / "shop.csv"
    file.write_text("\n".join(["recipe;title;line", *rows]))
    return file


def test_a_file_is_run_through(shop, tmp_path, capsys):
    """The file is stored, every recipe gets its answer, and progress is told on standard error.
    Named by its identity, the catalogue gives the same run again."""
    database = ["--database", f"sqlite:///{tmp_path}/shop.sqlite3"]
    items = tmp_path / "items.ndjson"
    assert main(["run", str(shop), *WINDOW, *database, "--out", str(items)]) == 1
    said = capsys.readouterr()
    assert "7 of 7 recipes" in said.out
    assert "1  unreadable" in said.out
    assert "7 of 7" in said.err
    found = [json.loads(line) for line in items.read_text().splitlines()]
    assert [item["external_id"] for item in found] == ["d0", "d1", "d2", "d3", "d4", "d5", "d24"]
    catalogue = said.err.split("catalogue ")[1].split(";")[0]
    assert main(["run", catalogue, *WINDOW, *database]) == 1
    assert capsys.readouterr().out.split()[1] == said.out.split()[1]


def test_a_run_that_cannot_be_is_refused(tmp_path, capsys):
    """A catalogue that is not there and a brief without an aim: words, and exit code 2."""
    database = ["--database", f"sqlite:///{tmp_path}/shop.sqlite3"]
    assert main(["run", "cat_nobody", *WINDOW, *database]) == 2
    assert "no catalogue of yours" in capsys.readouterr().err
    assert main(["run", "missing.csv", *WINDOW, *database]) == 2
    assert "missing.csv cannot be read" in capsys.readouterr().err


def test_nobody_answers(capsys):
    """An address where there is no service: exit code 3."""
    assert main(["run", "cat_x", *WINDOW, "--url", "http://127.0.0.1:9"]) == 3
    assert "No service answers" in capsys.readouterr().err


def test_a_worker_needs_a_database_that_can_be_shared(tmp_path, capsys):
    """A file on one machine has no workers: exit code 2."""
    assert main(["worker", "--database", f"sqlite:///{tmp_path}/a.sqlite3"]) == 2
    assert "PostgreSQL" in capsys.readouterr().err
