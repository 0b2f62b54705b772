"""A run may be called something, and may be deleted; what worked on it finds that it is gone."""

from alembic import op
from sqlalchemy import Column, DateTime, Integer, String

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make room for a run's title, its revision, and when it was deleted."""
    op.add_column("runs", Column("title", String(300)))
    op.add_column("runs", Column("revision", Integer, nullable=False, server_default="1"))
    op.add_column("runs", Column("deleted_at", DateTime(timezone=True)))
