"""How Alembic runs a migration: on the connection it is given, inside its transaction.

Alembic runs this file by its path; nothing imports it. Who calls Alembic is `service.migrations`.
"""

from alembic import context

from service.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,  # SQLite too takes back its tables with the transaction
)
context.run_migrations()
