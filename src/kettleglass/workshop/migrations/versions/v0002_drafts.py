"""What is being typed and not saved yet."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "draft",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("key", sa.String(200), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("form", sa.Text),
        sa.PrimaryKeyConstraint("id", name="pk_draft"),
    )
    op.create_index("ix_draft_key_id", "draft", ["key", "id"])
