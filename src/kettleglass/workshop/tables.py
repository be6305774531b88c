"""The tables of the workshop book as they are now. How they came about: `migrations/`."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)


class Moment(TypeDecorator[datetime]):
    """A moment in UTC, kept as text of fixed width, so that it sorts and reads alike in every database."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Any) -> str | None:
        """The text to keep."""
        return None if value is None else value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def process_result_value(self, value: str | None, dialect: Any) -> datetime | None:
        """The moment kept."""
        return None if value is None else datetime.fromisoformat(value)


METADATA = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    }
)

# The append-only log. `body` is the whole new content as JSON text, null when the entry was removed.
CHANGE = Table(
    "change",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("at", Moment, nullable=False),
    Column("who", Text, nullable=False),
    Column("kind", String(40), nullable=False),
    Column("entity_id", String(100), nullable=False),
    Column("version", Integer, nullable=False),
    Column("verb", String(40), nullable=False),
    Column("body", Text),
    Column("sha", String(64)),
    Column("undo_of", Integer, ForeignKey("change.id")),
    UniqueConstraint("kind", "entity_id", "version"),
)

# The latest state of everything, derived from the log and rebuilt from it at will.
ENTITY = Table(
    "entity",
    METADATA,
    Column("kind", String(40), nullable=False),
    Column("id", String(100), nullable=False),
    Column("version", Integer, nullable=False),
    Column("change_id", Integer, ForeignKey("change.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("updated_at", Moment, nullable=False),
    Column("removed", Boolean, nullable=False),
    PrimaryKeyConstraint("kind", "id"),
    Index(None, "kind", "removed", "change_id"),
)

# What is being typed and not saved yet: the latest row of a key counts, null `form` means cleared.
DRAFT = Table(
    "draft",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("key", String(200), nullable=False),
    Column("at", Moment, nullable=False),
    Column("who", Text, nullable=False),
    Column("form", Text),
    Index(None, "key", "id"),
)
