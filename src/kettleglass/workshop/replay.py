"""The latest state worked out anew from the log: to prove the book sound, and to mend it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, islice
from typing import Any

from sqlalchemy import and_, delete, insert, select, tuple_

from kettleglass.errors import Finding
from kettleglass.workshop.changes import Change, Transaction, View, name_in, sha_of
from kettleglass.workshop.tables import CHANGE, ENTITY

_CHUNK = 500


@dataclass(frozen=True, slots=True)
class State:
    """One row of the derived table."""

    kind: str
    id: str
    version: int
    change_id: int
    name: str
    body: str | None
    updated_at: datetime
    removed: bool


def replayed(view: View) -> Iterator[State]:
    """The latest state of every entry, from the log alone, ordered by kind and id."""
    for _, changes in groupby(_all_changes(view), key=lambda change: (change.kind, change.entity_id)):
        yield _folded(changes)


def derived(view: View) -> Iterator[State]:
    """The latest state of every entry as the derived table holds it, in no order."""
    for row in view.connection.execute(select(ENTITY).execution_options(yield_per=_CHUNK)).mappings():
        yield State(**row)


def rebuild(tx: Transaction) -> int:
    """Write the derived table anew from the log; gives the number of its rows."""
    states = [_row(state) for state in replayed(tx)]
    tx.connection.execute(delete(ENTITY))
    for start in range(0, len(states), _CHUNK):
        tx.connection.execute(insert(ENTITY), states[start : start + _CHUNK])
    return len(states)


def faults(view: View) -> Iterator[Finding]:
    """What in the log or in the derived table does not fit together; nothing when the book is sound."""
    spoilt = [change for change in _all_changes(view) if change.sha != sha_of(change.body)]
    for change in spoilt:
        where = f"{change.kind}/{change.entity_id}/{change.version}"
        yield _fault("book-body", f"Version {change.version} of {change.entity_id} does not match its checksum.", where)
    if spoilt:
        return  # their bodies cannot be read, so nothing can be worked out from them
    for entry, versions in groupby(_versions(view), key=lambda row: (row[0], row[1])):
        numbers = [row[2] for row in versions]
        if numbers != list(range(1, len(numbers) + 1)):
            yield _fault("book-gap", f"The versions of {entry[1]} are not numbered without a gap.", "/".join(entry))
    yield from _differences(view)


def _differences(view: View) -> Iterator[Finding]:
    joined = and_(ENTITY.c.kind == CHANGE.c.kind, ENTITY.c.id == CHANGE.c.entity_id)
    unmade = select(ENTITY.c.kind, ENTITY.c.id).outerjoin(CHANGE, joined).where(CHANGE.c.id.is_(None))
    for kind, entity_id in view.connection.execute(unmade).all():
        yield _fault("book-unmade", f"{entity_id} is listed, but no change made it.", f"{kind}/{entity_id}")
    states = replayed(view)
    while chunk := list(islice(states, _CHUNK)):
        query = select(ENTITY).where(tuple_(ENTITY.c.kind, ENTITY.c.id).in_([(s.kind, s.id) for s in chunk]))
        listed = {(row["kind"], row["id"]): State(**row) for row in view.connection.execute(query).mappings()}
        for state in chunk:
            if listed.get((state.kind, state.id)) != state:
                text = f"{state.id} is not listed as its last change left it."
                yield _fault("book-stale", text, f"{state.kind}/{state.id}")


def _folded(changes: Iterator[Change]) -> State:
    last = next(changes)
    body, name = last.body, name_in(last.body or "{}")
    for last in changes:
        if last.body is not None:
            body, name = last.body, name_in(last.body)
    return State(
        kind=last.kind, id=last.entity_id, version=last.version, change_id=last.id, name=name, body=body,
        updated_at=last.at, removed=last.body is None,
    )  # fmt: skip


def _all_changes(view: View) -> Iterator[Change]:
    query = select(CHANGE).order_by(CHANGE.c.kind, CHANGE.c.entity_id, CHANGE.c.version)
    for row in view.connection.execute(query.execution_options(yield_per=_CHUNK)):
        yield Change(*row)


def _versions(view: View) -> Iterator[Any]:
    order = (CHANGE.c.kind, CHANGE.c.entity_id, CHANGE.c.version)
    yield from view.connection.execute(select(*order).order_by(*order).execution_options(yield_per=_CHUNK))


def _row(state: State) -> dict[str, Any]:
    return {column.name: getattr(state, column.name) for column in ENTITY.columns}


def _fault(code: str, text: str, where: str) -> Finding:
    return Finding("danger", code, text, "Keep this file as it is and open the latest backup copy.", where)
