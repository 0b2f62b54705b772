"""What several processes count together: requests within a minute, and what monitoring reads."""

from alembic import op
from sqlalchemy import Column, Float, Integer, PrimaryKeyConstraint, String, Text

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make room for the counts."""
    op.create_table(
        "request_counts",
        Column("who", String(200), nullable=False),
        Column("window", Integer, nullable=False),
        Column("taken", Integer, nullable=False),
        PrimaryKeyConstraint("who", "window"),
    )
    op.create_index("ix_request_counts_window", "request_counts", ["window"])
    op.create_table(
        "measurements",
        Column("series", Text, nullable=False),
        Column("process", String(32), nullable=False),
        Column("value", Float, nullable=False),
        Column("told_at", Integer, nullable=False),
        PrimaryKeyConstraint("series", "process"),
    )
