"""What is being typed and not saved yet, so that a reload or a crash loses nothing.

A key is a recipe's id or that of one browser page. The last 20 states of each key are kept, and the state before each
of its last 20 clearings. Of states that follow each other within 5 seconds the first and the latest are kept. Clearing
adds an empty state, so what was typed can still be found; a key left cleared for 30 days is forgotten.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from sqlalchemy import delete, func, insert, select

from kettleglass.errors import BadInput
from kettleglass.workshop.changes import Transaction, View
from kettleglass.workshop.notebook import Notebook
from kettleglass.workshop.tables import DRAFT

KEPT_STATES = 20
_ONE_BURST = timedelta(seconds=5)
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
        _drop_between(tx, key)
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


def _drop_between(tx: Transaction, key: str) -> None:
    """Of the last three states the middle one goes, when all are typed by one maker within a burst of each other."""
    query = select(DRAFT.c.id, DRAFT.c.at, DRAFT.c.who, DRAFT.c.form.is_(None)).where(DRAFT.c.key == key)
    rows = tx.connection.execute(query.order_by(DRAFT.c.id.desc()).limit(3)).all()
    if len(rows) < 3 or any(cleared for *_, cleared in rows) or len({who for _, _, who, _ in rows}) > 1:
        return
    (_, last, *_), (middle_id, middle, *_), (_, first, *_) = rows
    if timedelta(0) <= last - middle <= _ONE_BURST and timedelta(0) <= middle - first <= _ONE_BURST:
        tx.connection.execute(delete(DRAFT).where(DRAFT.c.id == middle_id))


def _drop_older_states(tx: Transaction, key: str) -> None:
    """The last states stay, and each state that was put aside together with the clearing that put it aside."""
    mine = select(DRAFT.c.id, DRAFT.c.form.is_(None)).where(DRAFT.c.key == key).order_by(DRAFT.c.id.desc())
    rows = [(number, cleared) for number, cleared in tx.connection.execute(mine)]
    put_aside = [
        (clearing, before)
        for (clearing, cleared), (before, empty) in pairwise(rows)
        if cleared and not empty
    ]  # fmt: skip
    kept = {number for number, _ in rows[:KEPT_STATES]}.union(*put_aside[:KEPT_STATES])
    old = [number for number, _ in rows if number not in kept]
    if old:
        tx.connection.execute(delete(DRAFT).where(DRAFT.c.id.in_(old)))


def _forget_long_cleared(tx: Transaction) -> None:
    newest = select(func.max(DRAFT.c.id)).group_by(DRAFT.c.key)
    long_ago = tx.at - _FORGET_AFTER
    cleared = select(DRAFT.c.key).where(DRAFT.c.id.in_(newest), DRAFT.c.form.is_(None), DRAFT.c.at < long_ago)
    keys = tx.connection.execute(cleared).scalars().all()
    if keys:
        tx.connection.execute(delete(DRAFT).where(DRAFT.c.key.in_(keys)))
