"""Migrations: how the tables come to be, one step after another, the same on either database.

They only go forward; the way back is a backup. A step is a file in `versions`, written by hand next
to the last one; the tests compare what the steps make with `service.store.tables`.
"""

from sqlalchemy import Connection, text

from service.store.database import Database, DatabaseUnusable

_LOCK = 7_206_415_330
"""Two services that start at once on one server migrate one after the other; the number is ours."""


def upgrade(database: Database, to: str = "head") -> None:
    """Bring the tables up to the step named `to`, the last one unless told; all or nothing.

    Raises DatabaseUnusable if the database does not answer, or a newer version has written it.
    """
    # Imported here: it takes half a second, which most commands can do without.
    from alembic import command
    from alembic.config import Config
    from alembic.util import CommandError

    config = Config()
    config.set_main_option("script_location", "service:migrations")
    with database.writing() as connection:
        _wait_for_turn(connection)
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, to)
        except CommandError as error:
            raise DatabaseUnusable(
                f"The database at {database.address} was written by a newer version of this "
                f"program ({error}); use that version."
            ) from error


def _wait_for_turn(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
