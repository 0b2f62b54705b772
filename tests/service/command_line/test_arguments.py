"""The arguments: what is understood without being typed."""

from service.command_line.arguments import parser
from service.settings import Settings


def test_without_a_command_the_service_is_served():
    """No command means serve, on its usual port, for this machine alone."""
    given = parser().parse_args([])
    assert (given.command, given.host, given.port) == (None, "127.0.0.1", 8000)
    assert given.solve_seconds == Settings.solve_seconds


def test_what_was_not_typed_is_not_asked():
    """A reformulation without options adds nothing to what the file says."""
    given = parser().parse_args(["reformulate", "dough.txt"])
    assert (given.flour_to_fat, given.limit, given.keep, given.measures) == (None, [], [], None)


def test_a_database_with_a_password_can_come_from_the_environment(monkeypatch):
    """What stands on a command line can be read by every user of the machine."""
    monkeypatch.setenv("FORMHOLD_DATABASE", "sqlite:///elsewhere.sqlite3")
    assert parser().parse_args(["serve"]).database == "sqlite:///elsewhere.sqlite3"
