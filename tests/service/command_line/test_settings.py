"""Settings on the command line: every one of them, as README tells of them."""

import dataclasses
from pathlib import Path

import pytest

from service.command_line.arguments import parser
from service.command_line.settings import OPTIONS, settings_of
from service.settings import Settings

README = Path(__file__).parents[3] / "README.md"


def test_every_setting_has_an_option():
    """What an operator may choose can be said when the service is started."""
    assert set(OPTIONS) == {field.name for field in dataclasses.fields(Settings)}


def test_readme_tells_of_every_option_with_its_unit_and_default():
    """The table in README is what the options say."""
    usual = Settings()
    rows = [
        f"| `{option.name}` | {option.unit} "
        f"| {option.usual or getattr(usual, member)} | {option.help} |"
        for member, option in OPTIONS.items()
    ]
    assert "\n".join(["|---|---|---|---|", *rows, ""]) in README.read_text()


def test_untold_the_service_runs_by_its_defaults(monkeypatch):
    """`serve` alone is the settings' own defaults."""
    monkeypatch.delenv("FORMHOLD_DATABASE", raising=False)
    assert settings_of(parser().parse_args(["serve"])) == Settings()
    assert settings_of(parser().parse_args([])) == Settings()


TOLD = {
    "host": "0.0.0.0",
    "database_url": "sqlite:///elsewhere.sqlite3",
    "trusted_proxies": "10.0.0.0/8,::1",
    "notify_hosts": "hooks.shop.example,10.1.0.0/16",
    "single_user": False,
}


@pytest.mark.parametrize("member", OPTIONS)
def test_what_is_told_is_what_the_service_runs_by(member):
    """Each option reaches its setting."""
    value = TOLD.get(member, 7)
    option = OPTIONS[member].name
    words = ["--no-single-user"] if value is False else [option, str(value)]
    assert getattr(settings_of(parser().parse_args(["serve", *words])), member) == value


def test_too_few_become_the_fewest():
    """There is at least one process and one worker; a queue may have no place."""
    words = ["--processes", "0", "--workers", "-3", "--queue-length", "-1"]
    given = settings_of(parser().parse_args(["serve", *words]))
    assert (given.processes, given.workers, given.queue_length) == (1, 1, 0)
