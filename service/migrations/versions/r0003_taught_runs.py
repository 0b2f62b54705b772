"""A run may be in a kitchen: what that had learned when the run began is frozen with it."""

from alembic import op
from sqlalchemy import JSON, Column

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make room for what a kitchen had learned."""
    op.add_column("runs", Column("taught", JSON))
