"""Recipes are looked up by title, one at a time and by the batch of an import."""

from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the index."""
    op.create_index("ix_recipe_versions_title", "recipe_versions", ["title"])
