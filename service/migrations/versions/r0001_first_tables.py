"""The first tables: callers and what they asked, the shop's recipes, its kitchens, its runs.

Names that are not given here come from the naming convention of `service.store.tables`.
"""

from alembic import op
from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    DateTime,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    PrimaryKeyConstraint,
    String,
    Text,
    UniqueConstraint,
)

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables, each after those it refers to."""
    _make_callers()
    _make_recipes()
    _make_kitchens()
    _make_runs()


def _make_callers() -> None:
    op.create_table("callers", _identity(), Column("name", String(200), nullable=False), _made())
    op.create_table(
        "api_keys",
        Column("prefix", String(16), primary_key=True),
        _caller(),
        Column("digest", LargeBinary(32), nullable=False),
        _made(),
        _moment("revoked_at"),
    )
    op.create_table(
        "idempotent_requests",
        _caller(),
        Column("key", String(255), nullable=False),
        Column("request_digest", LargeBinary(32), nullable=False),
        Column("status", Integer),
        Column("headers", JSON),
        Column("body", LargeBinary),
        _made(),
        PrimaryKeyConstraint("caller_id", "key"),
    )


def _make_recipes() -> None:
    op.create_table(
        "catalogues",
        _identity(),
        _caller(),
        Column("title", String(300), nullable=False),
        Column("revision", Integer, nullable=False),
        _made(),
        _moment("deleted_at"),
    )
    op.create_index("ix_catalogues_listing", "catalogues", ["caller_id", "id"])
    op.create_table(
        "recipes",
        _identity(),
        _caller(),
        Column("catalogue_id", String(32), ForeignKey("catalogues.id")),
        Column("external_id", String(300)),
        Column("version", Integer, nullable=False),
        _made(),
        _moment("deleted_at"),
        UniqueConstraint("catalogue_id", "external_id"),
    )
    op.create_index("ix_recipes_listing", "recipes", ["caller_id", "id"])
    op.create_index("ix_recipes_catalogue", "recipes", ["catalogue_id", "id"])
    op.create_table(
        "recipe_versions",
        Column("recipe_id", String(32), ForeignKey("recipes.id"), nullable=False),
        Column("version", Integer, nullable=False),
        Column("title", String(300)),
        Column("recipe", JSON),
        Column("unread", JSON, nullable=False),
        Column("extras", JSON, nullable=False),
        _made(),
        PrimaryKeyConstraint("recipe_id", "version"),
    )


def _make_kitchens() -> None:
    op.create_table(
        "kitchens",
        _identity(),
        _caller(),
        Column("name", String(200), nullable=False),
        Column("revision", Integer, nullable=False),
        _made(),
    )
    op.create_index("ix_kitchens_listing", "kitchens", ["caller_id", "id"])
    op.create_table(
        "trials",
        _identity(),
        Column("kitchen_id", String(32), ForeignKey("kitchens.id"), nullable=False),
        _caller(),
        Column("trial", JSON, nullable=False),
        _made(),
    )
    op.create_index("ix_trials_listing", "trials", ["kitchen_id", "id"])


def _make_runs() -> None:
    op.create_table(
        "runs",
        _identity(),
        _caller(),
        Column("catalogue_id", String(32), ForeignKey("catalogues.id"), nullable=False),
        Column("brief", JSON, nullable=False),
        Column("fingerprint", LargeBinary(32), nullable=False),
        Column("state", Text, nullable=False),
        Column("total", Integer, nullable=False),
        _made(),
        _moment("started_at"),
        _moment("finished_at"),
        CheckConstraint("state IN ('queued', 'running', 'finished', 'cancelled')", name="state"),
        UniqueConstraint("caller_id", "fingerprint"),
    )
    op.create_index("ix_runs_listing", "runs", ["caller_id", "id"])
    op.create_table(
        "run_recipes",
        Column("run_id", String(32), ForeignKey("runs.id"), nullable=False),
        Column("position", Integer, nullable=False),
        Column("recipe_id", String(32), nullable=False),
        Column("version", Integer, nullable=False),
        PrimaryKeyConstraint("run_id", "position"),
        ForeignKeyConstraint(
            ["recipe_id", "version"], ["recipe_versions.recipe_id", "recipe_versions.version"]
        ),
    )
    op.create_table(
        "run_items",
        Column("run_id", String(32), ForeignKey("runs.id"), nullable=False),
        Column("position", Integer, nullable=False),
        Column("outcome", Text, nullable=False),
        Column("result", JSON, nullable=False),
        Column("finished_at", DateTime(timezone=True), nullable=False),
        PrimaryKeyConstraint("run_id", "position"),
        Index("ix_run_items_outcome", "run_id", "outcome", "position"),
    )


def _identity() -> Column[str]:
    return Column("id", String(32), primary_key=True)


def _caller() -> Column[str]:
    return Column("caller_id", String(32), ForeignKey("callers.id"), nullable=False)


def _made() -> Column[object]:
    return Column("created_at", DateTime(timezone=True), nullable=False)


def _moment(name: str) -> Column[object]:
    return Column(name, DateTime(timezone=True))
