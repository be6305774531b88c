"""The append-only log of changes, and the latest state derived from it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from kettleglass.workshop.engine import forbid_rewriting

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "change",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("entity_id", sa.String(100), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("verb", sa.String(40), nullable=False),
        sa.Column("body", sa.Text),
        sa.Column("sha", sa.String(64)),
        sa.Column("undo_of", sa.Integer),
        sa.PrimaryKeyConstraint("id", name="pk_change"),
        sa.UniqueConstraint("kind", "entity_id", "version", name="uq_change_kind_entity_id_version"),
        sa.ForeignKeyConstraint(["undo_of"], ["change.id"], name="fk_change_undo_of"),
    )
    op.create_table(
        "entity",
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("id", sa.String(100), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("change_id", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("updated_at", sa.String(27), nullable=False),
        sa.Column("removed", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("kind", "id", name="pk_entity"),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name="fk_entity_change_id"),
    )
    op.create_index("ix_entity_kind_removed_change_id", "entity", ["kind", "removed", "change_id"])
    forbid_rewriting(op.get_bind(), "change")
