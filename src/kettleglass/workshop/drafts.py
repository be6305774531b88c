"""What is being typed and not saved yet, so that a reload or a crash loses nothing.

A key is a recipe's id or that of one browser page. The last 20 states of each key are kept; clearing
adds an empty state, so what was typed can still be found; a key left cleared for 30 days is forgotten.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete, func, insert, select

from kettleglass.errors import BadInput
from kettleglass.workshop.changes import Transaction, View
from kettleglass.workshop.notebook import Notebook
from kettleglass.workshop.tables import DRAFT

KEPT_STATES = 20
_FORGET_AFTER = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Draft:
    """One state of a page that was being typed in; `number` grows with each state kept."""

    number: int
    key: str
    at: datetime
    who: str
    form: str


def keep_draft(notebook: Notebook, key: str, form_json: str) -> Draft:
    """The state as now kept, exactly the text given; the same text twice is kept once."""
    if not 0 < len(key) <= 200 or not key.isprintable():
        raise BadInput("This draft has no usable key.", remedy="Use 1 to 200 printable characters.")
    with notebook.transaction() as tx:
        last = _last(tx, key)
        if last is not None and last.form == form_json:
            return last
        number = _add(tx, key, json.dumps(form_json))
        _drop_older_states(tx, key)
        return Draft(number, key, tx.at, tx.who, form_json)


def take_draft(notebook: Notebook, key: str) -> Draft | None:
    """The last state of a key, which stays kept; None when there is none or it was cleared."""
    with notebook.reading() as view:
        return _last(view, key)


def list_drafts(notebook: Notebook) -> tuple[Draft, ...]:
    """The last state of every key that is not cleared, last typed first."""
    newest = select(func.max(DRAFT.c.id)).group_by(DRAFT.c.key)
    query = select(DRAFT).where(DRAFT.c.id.in_(newest), DRAFT.c.form.is_not(None)).order_by(DRAFT.c.id.desc())
    with notebook.reading() as view:
        return tuple(_draft(*row) for row in view.connection.execute(query))


def draft_history(notebook: Notebook, key: str) -> tuple[Draft, ...]:
    """The kept states of a key, oldest first, also those from before it was cleared."""
    query = select(DRAFT).where(DRAFT.c.key == key, DRAFT.c.form.is_not(None)).order_by(DRAFT.c.id)
    with notebook.reading() as view:
        return tuple(_draft(*row) for row in view.connection.execute(query))


def clear_draft(notebook: Notebook, key: str) -> None:
    """Note that what was typed under a key is saved or given up; clearing what is clear does nothing."""
    with notebook.transaction() as tx:
        if _last(tx, key) is not None:
            _add(tx, key, None)
            _drop_older_states(tx, key)
        _forget_long_cleared(tx)


def _last(view: View, key: str) -> Draft | None:
    query = select(DRAFT).where(DRAFT.c.key == key).order_by(DRAFT.c.id.desc()).limit(1)
    row = view.connection.execute(query).first()
    return None if row is None or row.form is None else _draft(*row)


def _draft(number: int, key: str, at: datetime, who: str, form: str) -> Draft:
    return Draft(number, key, at, who, json.loads(form))


def _add(tx: Transaction, key: str, form: str | None) -> int:
    row = insert(DRAFT).values(key=key, at=tx.at, who=tx.who, form=form)
    number: int = tx.connection.execute(row.returning(DRAFT.c.id)).scalar_one()
    return number


def _drop_older_states(tx: Transaction, key: str) -> None:
    mine = select(DRAFT.c.id).where(DRAFT.c.key == key).order_by(DRAFT.c.id.desc())
    oldest_kept = tx.connection.execute(mine.offset(KEPT_STATES - 1).limit(1)).scalar()
    if oldest_kept is not None:
        tx.connection.execute(delete(DRAFT).where(DRAFT.c.key == key, DRAFT.c.id < oldest_kept))


def _forget_long_cleared(tx: Transaction) -> None:
    newest = select(func.max(DRAFT.c.id)).group_by(DRAFT.c.key)
    long_ago = tx.at - _FORGET_AFTER
    cleared = select(DRAFT.c.key).where(DRAFT.c.id.in_(newest), DRAFT.c.form.is_(None), DRAFT.c.at < long_ago)
    keys = tx.connection.execute(cleared).scalars().all()
    if keys:
        tx.connection.execute(delete(DRAFT).where(DRAFT.c.key.in_(keys)))
