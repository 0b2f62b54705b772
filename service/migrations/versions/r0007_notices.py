"""Whom to tell once a run is over."""

from alembic import op
from sqlalchemy import Column, ForeignKey, Integer, String, Text

from service.store.moments import Moment

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make room for them."""
    op.create_table(
        "notices",
        Column("run_id", String(32), ForeignKey("runs.id"), primary_key=True),
        Column("url", Text, nullable=False),
        Column("secret", String(200), nullable=False),
        Column("tries", Integer, nullable=False),
        Column("answered", String(200)),
        Column("due_at", Moment()),
        Column("delivered_at", Moment()),
    )
    op.create_index("ix_notices_due_at", "notices", ["due_at"])
