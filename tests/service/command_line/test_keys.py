"""Keys on the command line: shown once, listed without the secret, revoked for good."""

from contextlib import closing

import pytest

from service.app import create_app
from service.command_line.commands import main
from service.settings import Settings
from service.store.callers import SINGLE_USER, welcome_single_user
from service.store.catalogues import add_catalogue
from service.store.database import Database
from tests.service.conftest import RunningApp


@pytest.fixture
def keys(tmp_path, capsys):
    """Run `keys` on a database of its own; return the exit code, the output and what was said."""

    def run(*arguments):
        code = main(["keys", *arguments, "--database", f"sqlite:///{tmp_path}/keys.sqlite3"])
        return (code, *capsys.readouterr())

    return run


def test_a_key_is_shown_once(keys):
    """The key alone is printed when it is made; the list has its prefix and whose it is."""
    code, key, said = keys("create", "Mill Lane bakery")
    assert (code, said) == (0, "")
    prefix, secret = key.strip().removeprefix("fh_").split("_")
    _, listed, _ = keys("list")
    assert listed.split()[0] == prefix
    assert "good" in listed
    assert listed.rstrip().endswith("Mill Lane bakery")
    assert secret not in listed


def test_the_secret_is_nowhere_in_the_database(keys, tmp_path):
    """Whoever reads the file cannot ask as anyone."""
    _, key, _ = keys("create", "baker")
    secret = key.strip().split("_")[2].encode()
    for path in tmp_path.iterdir():
        assert secret not in path.read_bytes()


def test_a_revoked_key_is_listed_as_that(keys):
    """A key is revoked by its prefix, or by the whole of it, once."""
    for cut in (lambda key: key.split("_")[1], lambda key: key):
        _, key, _ = keys("create", "baker")
        code, shown, _ = keys("revoke", cut(key.strip()))
        assert code == 0
        assert key.split("_")[1] in shown
        code, _, said = keys("revoke", cut(key.strip()))
        assert (code, "no good key" in said) == (2, True)
    assert keys("list")[1].count("revoked") == 2


@pytest.mark.parametrize("name", ["", "x" * 201, "a\nb", "a\0b"])
def test_a_name_that_cannot_be_is_refused(keys, name):
    """Empty, too long or unprintable: ends with 2 and makes nothing."""
    code, shown, said = keys("create", name)
    assert (code, shown) == (2, "")
    assert "printable" in said
    assert keys("list")[1] == ""


def test_a_database_that_does_not_answer_is_said(capsys):
    """A wrong address ends with 2 and says what to check."""
    assert main(["keys", "list", "--database", "sqlite:////nowhere/at/all.sqlite3"]) == 2
    assert "Check that" in capsys.readouterr().err


def test_a_key_may_own_what_was_stored_without_one(tmp_path, keys):
    """The single user's catalogue is the new key's, and no other key's; the name is taken then."""
    address = f"sqlite:///{tmp_path}/keys.sqlite3"
    assert keys("list")[0] == 0
    with closing(Database(address)) as database, database.writing() as connection:
        welcome_single_user(connection)
        add_catalogue(connection, SINGLE_USER, "Wickhollow lantern-makers")
    _, other, _ = keys("create", "Mill Lane bakery")
    code, key, _ = keys("create", "Wickhollow", "--owns-everything")
    assert code == 0

    def titles(shown):
        app = create_app(Settings(database_url=address, single_user=False))
        with RunningApp(app) as running:
            held = {"Authorization": f"Bearer {shown.strip()}"}
            found = running.get("/v1/catalogues", headers=held).json()["catalogues"]
            return [catalogue["title"] for catalogue in found]

    assert (titles(key), titles(other)) == (["Wickhollow lantern-makers"], [])
    code, _, said = keys("create", "Mill Lane bakery", "--owns-everything")
    assert (code, "another name" in said) == (2, True)
