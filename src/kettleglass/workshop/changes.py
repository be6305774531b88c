"""The one append-only log under everything that is saved, and the latest state derived from it.

Nothing is ever altered or erased: a correction, a removal, an undo is one more change. `View` reads
one moment of the book, `Transaction` may also write; both come from `Notebook`.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import BindParameter, Connection, bindparam, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from kettleglass.errors import BadInput
from kettleglass.workshop.engine import against_rivals
from kettleglass.workshop.ids import IdSource
from kettleglass.workshop.refusals import NoSuchEntry, NothingToUndo, Stale
from kettleglass.workshop.tables import CHANGE, ENTITY

UNDO, REDO = "undo", "redo"
_WORD = re.compile(r"[a-z][a-z0-9_-]{0,39}")
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._~-]{0,99}")
_UNKEEPABLE = re.compile("[\x00\ud800-\udfff]")  # not every database keeps these in a text column


@dataclass(frozen=True, slots=True)
class View:
    """A look at the book as it is at one moment."""

    connection: Connection


@dataclass(frozen=True, slots=True)
class Transaction(View):
    """One visible unit of writing: `at` is its moment, `who` signs it, `new_id` names what is new."""

    at: datetime
    who: str
    new_id: IdSource

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            raise BadInput("The clock gave a time without its zone.", remedy="Hand in a clock that gives UTC.")


@dataclass(frozen=True, slots=True)
class Change:
    """One row of the log. `body` is the whole new content as JSON text, None when it was removed."""

    id: int
    at: datetime
    who: str
    kind: str
    entity_id: str
    version: int
    verb: str
    body: str | None
    sha: str | None
    undo_of: int | None

    @property
    def content(self) -> dict[str, Any] | None:
        """The body, read."""
        return None if self.body is None else json.loads(self.body)


@dataclass(frozen=True, slots=True)
class Listed:
    """What a list needs of an entry."""

    kind: str
    id: str
    version: int
    name: str
    updated_at: datetime
    removed: bool

    @property
    def folded(self) -> str:
        """The name as search compares it."""
        return folded(self.name)


@dataclass(frozen=True, slots=True)
class Latest(Listed):
    """An entry as it is now; when `removed`, `body` is the last one it had."""

    body: str

    @property
    def content(self) -> dict[str, Any]:
        """The body, read."""
        content: dict[str, Any] = json.loads(self.body)
        return content


def append(
    tx: Transaction, kind: str, entity_id: str, verb: str, content: Mapping[str, Any] | None, *,
    expected_version: int | None,
) -> Change:  # fmt: skip
    """The change that now holds `content` (None: removed), added to the log.

    `expected_version` is the version the writer saw, 0 for something new, None to write over whatever
    is there (its history keeps that). Content equal to the latest adds nothing and is answered with
    the change that brought it, so a repeated request is harmless.
    Raises `Stale` when another version came between, `NoSuchEntry` when there is nothing to change,
    `BadInput` for names or content that cannot be kept.
    """
    _refuse_bad_words(kind, entity_id, verb)
    body = None if content is None else body_text(content)
    head = _head(tx, kind, entity_id)
    if head is not None and head.sha == sha_of(body):
        return as_of(tx, kind, entity_id, head.version)
    if head is None and (content is None or expected_version):
        raise NoSuchEntry(kind, entity_id)
    _refuse_stale(tx, (kind, entity_id), head, expected_version, content)
    return _write(tx, (kind, entity_id), head, verb, body)


def undo(tx: Transaction, kind: str, entity_id: str, *, expected_version: int | None = None) -> Change:
    """The change that puts back the state before the last change that still counts.

    Called again it goes one step further back, down to how the entry was first written. Raises
    `NothingToUndo` there, `Stale` and `NoSuchEntry` as `append` does.
    """
    head = _checked_head(tx, kind, entity_id, expected_version)
    done, _ = _steps(tx, kind, entity_id)
    if len(done) < 2:
        raise NothingToUndo(kind, entity_id, UNDO)
    body = as_of(tx, kind, entity_id, done[-2].version).body
    return _write(tx, (kind, entity_id), head, UNDO, body, undo_of=done[-1].id)


def redo(tx: Transaction, kind: str, entity_id: str, *, expected_version: int | None = None) -> Change:
    """The change that brings back what the last undo took away; any other change ends that chance.

    Raises `NothingToUndo` when nothing was undone, `Stale` and `NoSuchEntry` as `append` does.
    """
    head = _checked_head(tx, kind, entity_id, expected_version)
    _, undone = _steps(tx, kind, entity_id)
    if not undone:
        raise NothingToUndo(kind, entity_id, REDO)
    taken_away, by_undo_id = undone[-1]
    body = as_of(tx, kind, entity_id, taken_away.version).body
    return _write(tx, (kind, entity_id), head, REDO, body, undo_of=by_undo_id)


def history(view: View, kind: str, entity_id: str) -> tuple[Change, ...]:
    """All changes of one entry, oldest first. Raises `NoSuchEntry`."""
    rows = view.connection.execute(_HISTORY, {"of_kind": kind, "of_id": entity_id}).all()
    if not rows:
        raise NoSuchEntry(kind, entity_id)
    return tuple(Change(*row) for row in rows)


def as_of(view: View, kind: str, entity_id: str, version: int) -> Change:
    """The change that made `version` (1 or more) of an entry. Raises `NoSuchEntry`."""
    row = view.connection.execute(_AS_OF, {"of_kind": kind, "of_id": entity_id, "of_version": version}).first()
    if row is None:
        raise NoSuchEntry(kind, entity_id, version)
    return Change(*row)


def latest(view: View, kind: str, entity_id: str) -> Latest:
    """An entry as it is now, also a removed one. Raises `NoSuchEntry`."""
    entry = find(view, kind, entity_id)
    if entry is None:
        raise NoSuchEntry(kind, entity_id)
    return entry


def find(view: View, kind: str, entity_id: str) -> Latest | None:
    """An entry as it is now, also a removed one; None when the book never held it."""
    row = view.connection.execute(_LATEST, {"of_kind": kind, "of_id": entity_id}).first()
    return None if row is None else Latest(*row)


def names(view: View, kind: str | None = None, *, removed: bool = False) -> tuple[Listed, ...]:
    """The current entries of one kind or of all, last changed first; with `removed`, the removed ones."""
    query = select(*_LISTED).where(ENTITY.c.removed == removed).order_by(ENTITY.c.change_id.desc(), ENTITY.c.id)
    if kind is not None:
        query = query.where(ENTITY.c.kind == kind)
    return tuple(Listed(*row) for row in view.connection.execute(query))


def all_latest(view: View, kind: str, *, removed: bool = False) -> tuple[Latest, ...]:
    """The current entries of one kind with their bodies, last changed first."""
    query = select(*_LISTED, ENTITY.c.body).where(ENTITY.c.kind == kind, ENTITY.c.removed == removed)
    return tuple(Latest(*row) for row in view.connection.execute(query.order_by(ENTITY.c.change_id.desc())))


def position(view: View) -> int:
    """How far the log has come: the number of its last change, 0 for an empty book."""
    return int(view.connection.execute(_POSITION).scalar() or 0)


def matching(entries: tuple[Listed, ...], text: str) -> tuple[Listed, ...]:
    """Those entries whose name holds every word of `text`, whatever its case and accents."""
    words = folded(text).split()
    return tuple(entry for entry in entries if all(word in entry.folded for word in words))


def folded(text: str) -> str:
    """Text without case, accents and typographic variants, for comparing."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return unicodedata.normalize("NFC", "".join(c for c in apart if not unicodedata.combining(c)))


def body_text(content: Mapping[str, Any]) -> str:
    """The one way of writing content as JSON text: equal content, equal text, equal sha."""
    try:
        text = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    except (TypeError, ValueError) as error:
        raise BadInput("This cannot be kept as JSON.", why=f"{error}.", remedy="Keep text and numbers.") from error
    if _UNKEEPABLE.search(text):
        text = json.dumps(content, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return text


def sha_of(body: str | None) -> str | None:
    """SHA-256 of a body in UTF-8, in hexadecimal digits."""
    return None if body is None else hashlib.sha256(body.encode()).hexdigest()


def name_in(body: str) -> str:
    """The name an entry is listed under: the text under `name` in its body, or nothing."""
    name = json.loads(body).get("name", "")
    return keepable(name) if isinstance(name, str) else ""


def keepable(text: str) -> str:
    """The text with what a text column may refuse replaced by �."""
    return _UNKEEPABLE.sub("\ufffd", text)


def kind_word(said: object) -> bool:
    """Whether this can name a kind of entries, or what was done."""
    return isinstance(said, str) and _WORD.fullmatch(said) is not None


def id_word(said: object) -> bool:
    """Whether this can be the id of an entry."""
    return isinstance(said, str) and _ID.fullmatch(said) is not None


_LISTED = (ENTITY.c.kind, ENTITY.c.id, ENTITY.c.version, ENTITY.c.name, ENTITY.c.updated_at, ENTITY.c.removed)


# The statements of every write and look, built once: building them anew is most of the time of a write.
_OF_KIND: BindParameter[str] = bindparam("of_kind")
_OF_ID: BindParameter[str] = bindparam("of_id")
_THIS = (ENTITY.c.kind == _OF_KIND, ENTITY.c.id == _OF_ID)
_POSITION = select(func.max(CHANGE.c.id))
_LATEST = select(*_LISTED, ENTITY.c.body).where(*_THIS)
_HELD = select(ENTITY.c.version, ENTITY.c.change_id).where(*_THIS).with_for_update()
_SHA = select(CHANGE.c.sha).where(CHANGE.c.id == bindparam("change_id"))
_OF_THIS = (CHANGE.c.kind == _OF_KIND, CHANGE.c.entity_id == _OF_ID)
_HISTORY = select(CHANGE).where(*_OF_THIS).order_by(CHANGE.c.version)
_AS_OF = select(CHANGE).where(*_OF_THIS, CHANGE.c.version == bindparam("of_version"))
_STEPS = select(CHANGE.c.id, CHANGE.c.version, CHANGE.c.verb).where(*_OF_THIS).order_by(CHANGE.c.version)
_ADD_CHANGE = insert(CHANGE).returning(CHANGE.c.id)
_ADD_ENTITY = insert(ENTITY)
_ALTER_ENTITY = update(ENTITY).where(*_THIS)


@dataclass(frozen=True, slots=True)
class _Head:
    version: int
    sha: str | None


def _head(tx: View, kind: str, entity_id: str) -> _Head | None:
    """Version and sha of the latest change; its row is held for us until the transaction ends.

    Two queries on purpose: a lock on a join would, after waiting for another writer, find nothing.
    """
    row = tx.connection.execute(_HELD, {"of_kind": kind, "of_id": entity_id}).first()
    if row is None:
        return None
    return _Head(row.version, tx.connection.execute(_SHA, {"change_id": row.change_id}).scalar())


def _checked_head(tx: Transaction, kind: str, entity_id: str, expected_version: int | None) -> _Head:
    head = _head(tx, kind, entity_id)
    if head is None:
        raise NoSuchEntry(kind, entity_id)
    _refuse_stale(tx, (kind, entity_id), head, expected_version, None)
    return head


def _refuse_bad_words(kind: str, entity_id: str, verb: str) -> None:
    for word, form in ((kind, _WORD), (verb, _WORD), (entity_id, _ID)):
        if not form.fullmatch(word):
            raise BadInput(f"“{word}” cannot name an entry or a change.", remedy="Use letters, digits, - and _.")
    if verb in (UNDO, REDO):
        raise BadInput(f"“{verb}” is kept for the log itself.", remedy=f"Call {verb}().")


def _refuse_stale(
    tx: View, entry: tuple[str, str], head: _Head | None, expected: int | None, given: Mapping[str, Any] | None
) -> None:
    version = head.version if head is not None else 0
    if expected is None or expected == version:
        return
    seen = as_of(tx, *entry, expected) if 0 < expected < version else None
    newest = as_of(tx, *entry, version) if version else None
    raise Stale(*entry, expected_version=expected, seen=seen, latest=newest, given=given)


def _write(
    tx: Transaction, entry: tuple[str, str], head: _Head | None, verb: str, body: str | None, *,
    undo_of: int | None = None,
) -> Change:  # fmt: skip
    kind, entity_id = entry
    version = head.version + 1 if head is not None else 1
    row: dict[str, Any] = {
        "at": tx.at, "who": tx.who, "kind": kind, "entity_id": entity_id, "version": version, "verb": verb,
        "body": body, "sha": sha_of(body), "undo_of": undo_of,
    }  # fmt: skip
    if head is not None:
        change_id = _insert_change(tx, row)
        state = _state(row, change_id)
        tx.connection.execute(_ALTER_ENTITY, {"of_kind": kind, "of_id": entity_id, **state})
        return Change(id=change_id, **row)
    try:
        with against_rivals(tx.connection):
            change_id = _insert_change(tx, row)
            tx.connection.execute(_ADD_ENTITY, {"kind": kind, "id": entity_id, **_state(row, change_id)})
    except IntegrityError:
        _refuse_stale(tx, entry, _head(tx, kind, entity_id), 0, json.loads(body or "null"))
        raise
    return Change(id=change_id, **row)


def _insert_change(tx: Transaction, row: Mapping[str, Any]) -> int:
    change_id: int = tx.connection.execute(_ADD_CHANGE, row).scalar_one()
    return change_id


def _state(row: Mapping[str, Any], change_id: int) -> dict[str, Any]:
    """The columns of `entity` after a change; a removal keeps the last name and body."""
    state = {"version": row["version"], "change_id": change_id, "updated_at": row["at"], "removed": row["body"] is None}
    if row["body"] is not None:
        state |= {"name": name_in(row["body"]), "body": row["body"]}
    return state


@dataclass(frozen=True, slots=True)
class _Step:
    id: int
    version: int


def _steps(view: View, kind: str, entity_id: str) -> tuple[list[_Step], list[tuple[_Step, int]]]:
    """The changes that still count, and those undone with the change that undid each; both oldest first."""
    done: list[_Step] = []
    undone: list[tuple[_Step, int]] = []
    for change_id, version, verb in view.connection.execute(_STEPS, {"of_kind": kind, "of_id": entity_id}):
        if verb == UNDO:
            undone.append((done.pop(), change_id))
        elif verb == REDO:
            done.append(undone.pop()[0])
        else:
            done.append(_Step(change_id, version))
            undone.clear()
    return done, undone
