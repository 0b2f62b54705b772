"""The tables: what is kept, for whom. The same on SQLite and on PostgreSQL.

Every row belongs to a caller, and nothing is read without one; what is counted over several
processes of the service belongs to nobody. Recipe versions never change; a run
freezes the versions that it goes over, and its items are the truth about how far it has come.
"""

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from service.store.moments import Moment

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

Identity = String(32)
When = Moment()
Written = JSON(none_as_null=True)  # nothing is kept as nothing, not as JSON's null

callers = Table(
    "callers",
    metadata,
    Column("id", Identity, primary_key=True),
    Column("name", String(200), nullable=False),
    Column("created_at", When, nullable=False),
)

api_keys = Table(
    "api_keys",
    metadata,
    Column("prefix", String(16), primary_key=True),  # the readable part, to find the row by
    Column("caller_id", Identity, ForeignKey("callers.id"), nullable=False),
    Column("digest", LargeBinary(32), nullable=False),  # SHA-256; the key itself is not kept
    Column("created_at", When, nullable=False),
    Column("revoked_at", When),
)

idempotent_requests = Table(
    "idempotent_requests",
    metadata,
    Column("caller_id", Identity, ForeignKey("callers.id"), nullable=False),
    Column("key", String(255), nullable=False),
    Column("request_digest", LargeBinary(32), nullable=False),  # method, address and body
    Column("status", Integer),  # null while the first request is still at work
    Column("headers", Written),
    Column("body", LargeBinary),
    Column("created_at", When, nullable=False),
    PrimaryKeyConstraint("caller_id", "key"),
)

catalogues = Table(
    "catalogues",
    metadata,
    Column("id", Identity, primary_key=True),
    Column("caller_id", Identity, ForeignKey("callers.id"), nullable=False),
    Column("title", String(300), nullable=False),
    Column("revision", Integer, nullable=False),  # the ETag
    Column("created_at", When, nullable=False),
    Column("deleted_at", When),
    Index("ix_catalogues_listing", "caller_id", "id"),
)

recipes = Table(
    "recipes",
    metadata,
    Column("id", Identity, primary_key=True),
    Column("caller_id", Identity, ForeignKey("callers.id"), nullable=False),
    Column("catalogue_id", Identity, ForeignKey("catalogues.id")),
    Column("external_id", String(300)),  # what the recipe is called where it came from
    Column("version", Integer, nullable=False),  # the newest; the ETag
    Column("created_at", When, nullable=False),
    Column("deleted_at", When),
    Index("ix_recipes_listing", "caller_id", "id"),
    Index("ix_recipes_catalogue", "catalogue_id", "id"),
    UniqueConstraint("catalogue_id", "external_id"),
)

recipe_versions = Table(
    "recipe_versions",
    metadata,
    Column("recipe_id", Identity, ForeignKey("recipes.id"), nullable=False),
    Column("version", Integer, nullable=False),
    Column("title", String(300)),
    Column("recipe", Written),  # as models.recipe.Recipe; null where its lines could not be read
    Column("unread", Written, nullable=False),  # lines that could not be read, and why
    Column("extras", Written, nullable=False),  # members kept, not understood
    Column("created_at", When, nullable=False),
    PrimaryKeyConstraint("recipe_id", "version"),
    Index("ix_recipe_versions_title", "title"),
)

kitchens = Table(
    "kitchens",
    metadata,
    Column("id", Identity, primary_key=True),
    Column("caller_id", Identity, ForeignKey("callers.id"), nullable=False),
    Column("name", String(200), nullable=False),
    Column("revision", Integer, nullable=False),  # the ETag
    Column("created_at", When, nullable=False),
    Column("deleted_at", When),
    Index("ix_kitchens_listing", "caller_id", "id"),
)

trials = Table(
    "trials",
    metadata,
    Column("id", Identity, primary_key=True),
    Column("kitchen_id", Identity, ForeignKey("kitchens.id"), nullable=False),
    Column("caller_id", Identity, ForeignKey("callers.id"), nullable=False),
    Column("version", Integer, nullable=False),  # the newest telling; the ETag
    Column("created_at", When, nullable=False),
    Column("deleted_at", When),
    Index("ix_trials_listing", "kitchen_id", "id"),
)

trial_versions = Table(
    "trial_versions",
    metadata,
    Column("trial_id", Identity, ForeignKey("trials.id"), nullable=False),
    Column("version", Integer, nullable=False),
    Column("trial", Written, nullable=False),  # as models.trial.Trial
    Column("created_at", When, nullable=False),
    PrimaryKeyConstraint("trial_id", "version"),
)

runs = Table(
    "runs",
    metadata,
    Column("id", Identity, primary_key=True),
    Column("caller_id", Identity, ForeignKey("callers.id"), nullable=False),
    Column("catalogue_id", Identity, ForeignKey("catalogues.id"), nullable=False),
    Column("brief", Written, nullable=False),  # everything of a brief but its recipe
    Column("taught", Written),  # what its kitchen had learned when it began; null without one
    Column("fingerprint", LargeBinary(32), nullable=False),  # of brief and recipe versions
    Column("title", String(300)),
    Column("revision", Integer, nullable=False, server_default="1"),  # of the title; the ETag
    Column("state", Text, nullable=False),
    Column("total", Integer, nullable=False),
    Column("created_at", When, nullable=False),
    Column("started_at", When),
    Column("finished_at", When),
    Column("deleted_at", When),  # then nothing is left of it but this row
    CheckConstraint("state IN ('queued', 'running', 'finished', 'cancelled')", name="state"),
    UniqueConstraint("caller_id", "fingerprint"),
    Index("ix_runs_listing", "caller_id", "id"),
)

run_recipes = Table(
    "run_recipes",
    metadata,
    Column("run_id", Identity, ForeignKey("runs.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("recipe_id", Identity, nullable=False),
    Column("version", Integer, nullable=False),
    PrimaryKeyConstraint("run_id", "position"),
    ForeignKeyConstraint(
        ["recipe_id", "version"], ["recipe_versions.recipe_id", "recipe_versions.version"]
    ),
)

run_items = Table(
    "run_items",
    metadata,
    Column("run_id", Identity, ForeignKey("runs.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("outcome", Text, nullable=False),  # a brief's outcome, or "unreadable" or "failed"
    Column("result", Written, nullable=False),
    Column("finished_at", When, nullable=False),
    PrimaryKeyConstraint("run_id", "position"),
    Index("ix_run_items_outcome", "run_id", "outcome", "position"),
)

notices = Table(
    "notices",
    metadata,
    Column("run_id", Identity, ForeignKey("runs.id"), primary_key=True),
    Column("url", Text, nullable=False),
    Column("secret", String(200), nullable=False),  # signs what is sent; empty once it has come
    Column("tries", Integer, nullable=False),
    Column("answered", String(200)),  # what came of the last try
    Column("due_at", When),  # null where it has come, or is given up
    Column("delivered_at", When),
    Index("ix_notices_due_at", "due_at"),
)

request_counts = Table(
    "request_counts",
    metadata,
    Column("who", String(200), nullable=False),
    Column("window", Integer, nullable=False),  # the minute, counted since 1970
    Column("taken", Integer, nullable=False),
    PrimaryKeyConstraint("who", "window"),
    Index("ix_request_counts_window", "window"),
)

measurements = Table(
    "measurements",
    metadata,
    Column("series", Text, nullable=False),  # a metric with its labels, as JSON
    Column("process", String(32), nullable=False),  # empty where all processes add to one sum
    Column("value", Float, nullable=False),
    Column("told_at", Integer, nullable=False),  # in seconds since 1970
    PrimaryKeyConstraint("series", "process"),
)
