"""The layout of the book: which revision a file has, making a new one, bringing an old one up to date.

To change the layout: alter `tables.py`, add `migrations/versions/vNNNN_….py`, add its number to
`REVISIONS`, and keep one small book of the former layout in `tests/notebooks/`.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sqlalchemy import Column, Connection, MetaData, String, Table, insert, inspect, select

from kettleglass.workshop.engine import Store, forbid_rewriting
from kettleglass.workshop.refusals import NewerBook, NotABook
from kettleglass.workshop.tables import METADATA

REVISIONS = ("0001", "0002")
HEAD = REVISIONS[-1]
_STAMP = Table("alembic_version", MetaData(), Column("version_num", String(32), primary_key=True))
_STAMP.primary_key.name = "alembic_version_pkc"


def bring_up_to_date(store: Store, now: datetime) -> Path | None:
    """Make a new book, or migrate an old one after copying it; gives the path of that copy, if any.

    Raises `NewerBook` or `NotABook` for files that must not be touched.
    """
    with store.reading() as connection:
        revision = stored_revision(connection)
    if revision == HEAD:
        return None
    if revision is None:
        _create(store)
        return None
    copy = _copy_before(store, revision, now)
    _migrate(store)
    return copy


def stored_revision(connection: Connection) -> str | None:
    """The revision noted in the book; None when it is still empty."""
    inspector = inspect(connection)
    if not inspector.has_table(_STAMP.name):
        if inspector.get_table_names():
            raise NotABook(
                "This file is a database, but not a workshop book.",
                remedy="Choose another file; this one was not touched.",
            )
        return None
    revision = connection.execute(select(_STAMP.c.version_num)).scalar()
    if revision is not None and revision not in REVISIONS:
        raise NewerBook(str(revision), HEAD)
    return revision


def _create(store: Store) -> None:
    with store.writing() as connection:
        if stored_revision(connection) is not None:
            return  # another program made it while we waited for our turn
        METADATA.create_all(connection)
        forbid_rewriting(connection, "change")
        _STAMP.create(connection)
        connection.execute(insert(_STAMP).values(version_num=HEAD))


def _copy_before(store: Store, revision: str, now: datetime) -> Path | None:
    if store.path is None:
        return None
    name = f"{store.path.stem}-layout-{revision}-{now:%Y%m%dT%H%M%S}{store.path.suffix}"
    copy = store.path.parent / "backups" / name
    store.copy_to(copy)
    return copy


def _migrate(store: Store) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    with store.rebuilding() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, HEAD)
