"""Making a book again of the open files it was taken out as: all is checked first, then it is there as a whole."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Table, insert

from kettleglass.errors import KettleglassError
from kettleglass.workshop import replay
from kettleglass.workshop.changes import (
    REDO,
    UNDO,
    Transaction,
    body_text,
    id_word,
    keepable,
    kind_word,
    sha_of,
)
from kettleglass.workshop.copies import PUT_ASIDE, Held, dated, held_by
from kettleglass.workshop.engine import set_aside_journals
from kettleglass.workshop.export import Digests, write_out, written
from kettleglass.workshop.ids import Clock
from kettleglass.workshop.notebook import Notebook
from kettleglass.workshop.openfiles import CHANGES, DRAFTS, ENTRIES, Manifest, spoilt
from kettleglass.workshop.packed import Source, lines_of, read_manifest, source_at
from kettleglass.workshop.refusals import NewerBook, UnusableCopy
from kettleglass.workshop.schema import HEAD, REVISIONS
from kettleglass.workshop.settling import settle, told, workroom
from kettleglass.workshop.tables import CHANGE, DRAFT

_CHUNK = 500
_LARGEST = 2**31 - 1
"""What every database keeps in a column of whole numbers."""
_CHANGE_KEYS = frozenset(CHANGE.c.keys()) - {"body"}
_DRAFT_KEYS = frozenset(DRAFT.c.keys())


def import_book(source: Path, book: Path, *, clock: Clock) -> Held:
    """Make the book at `book`, where there must be none, of a folder or zip file of open files; what it then holds.

    Taken out again, it gives the same bytes. Raises `UnusableCopy` for files that are damaged, incomplete, altered,
    too large or no such files, `NewerBook` for those of a later version; then there is no book, not even a part.
    """
    book = book.absolute()
    if book.exists():
        why, remedy = "Nothing was taken in, and nothing is written over.", _BESIDE
        raise UnusableCopy(f"There is a book at {book} already.", why=why, remedy=remedy)
    with told(), source_at(source) as files, workroom(book.parent) as room:
        manifest = read_manifest(files)
        _refuse_layout(manifest)
        with Notebook.open(room / "book.db", clock=clock, who="") as made:
            with made.transaction() as tx:
                _fill(tx, files)
            _refuse_unequal(made, manifest)
            with made.reading() as view:
                held = held_by(view)
        set_aside_journals(book, dated(book, PUT_ASIDE, clock()))
        settle(room / "book.db", book)
    return held


_BESIDE = (
    "Make another book of the files (kettleglass import FILE --into OTHER.db), then put it in place"
    " (kettleglass restore OTHER.db): that keeps the book that is there as a copy."
)


def _refuse_layout(manifest: Manifest) -> None:
    if manifest.layout not in REVISIONS:
        raise NewerBook(manifest.layout[:40], HEAD)
    for name in (CHANGES, DRAFTS, ENTRIES):
        if name not in manifest.files:
            raise spoilt(name, "it is missing")


def _fill(tx: Transaction, files: Source) -> None:
    log = _Log()
    _keep(tx, CHANGE, (log.row(number, data) for number, data in _read(files, CHANGES)))
    drafts = _Numbered(DRAFTS)
    _keep(tx, DRAFT, (_draft_row(number, data, drafts) for number, data in _read(files, DRAFTS)))
    replay.rebuild(tx)


def _refuse_unequal(made: Notebook, manifest: Manifest) -> None:
    """The proof that nothing was lost or understood otherwise: taken out once more, the files are the same."""
    faults, again = made.check(), Digests()
    counts = write_out(made, again)
    if faults:
        raise spoilt(CHANGES, faults[0].text.rstrip("."))
    for name in (CHANGES, DRAFTS, ENTRIES):
        if again.notes[name] != manifest.files[name]:
            raise spoilt(name, "it does not fit to the other files, or is not written as Kettleglass writes it")
    if dict(manifest.counts) != dict(counts):
        raise spoilt("manifest.json", "its counts are not those of the files")


def _read(files: Source, name: str) -> Iterator[tuple[int, dict[str, Any]]]:
    """Number and content of each line."""
    for number, line in enumerate(lines_of(files, name), 1):
        try:
            data = json.loads(line)
        except (ValueError, RecursionError) as error:
            raise _wrong(name, number, "no JSON") from error
        if not isinstance(data, dict):
            raise _wrong(name, number, "no object")
        yield number, data


def _keep(tx: Transaction, table: Table, rows: Iterator[Mapping[str, Any]]) -> None:
    while chunk := list(islice(rows, _CHUNK)):
        tx.connection.execute(insert(table), chunk)


def _wrong(name: str, number: int, how: str) -> UnusableCopy:
    return spoilt(name, f"line {number} cannot be used ({how})")


class _Numbered:
    """Ids as they come: whole numbers, each larger than the one before."""

    def __init__(self, name: str) -> None:
        self._name, self._last = name, 0

    def next(self, number: int, data: Mapping[str, Any]) -> int:
        """The id of this line."""
        found = data.get("id")
        if type(found) is not int or not self._last < found <= _LARGEST:
            raise _wrong(self._name, number, "its number does not follow the one before")
        self._last = found
        return found


@dataclass(slots=True)
class _Entry:
    """What came of one entry so far: changes that count and changes that were undone, each as (id, sha)."""

    version: int = 0
    done: list[tuple[int, str | None]] = field(default_factory=list)
    undone: list[tuple[tuple[int, str | None], int]] = field(default_factory=list)


class _Log:
    """Reads the lines of the log as rows, and refuses a log that this program cannot have written."""

    def __init__(self) -> None:
        self._ids = _Numbered(CHANGES)
        self._entries: dict[tuple[str, str], _Entry] = {}

    def row(self, number: int, data: dict[str, Any]) -> dict[str, Any]:
        """The row of one change."""
        change_id = self._ids.next(number, data)
        if data.keys() - {"content", "body"} != _CHANGE_KEYS or ("content" in data) == ("body" in data):
            raise _wrong(CHANGES, number, "it says more or less than a change")
        kind, entity_id, verb = (data[key] for key in ("kind", "entity_id", "verb"))
        if not (kind_word(kind) and id_word(entity_id) and kind_word(verb)):
            raise _wrong(CHANGES, number, "its kind, entry or verb is no name")
        body = _body(number, data)
        row = {
            "id": change_id, "at": _moment(CHANGES, number, data["at"]), "who": _text(CHANGES, number, data["who"]),
            "kind": kind, "entity_id": entity_id, "version": data["version"], "verb": verb, "body": body,
            "sha": data["sha"], "undo_of": data["undo_of"],
        }  # fmt: skip
        if row["sha"] != sha_of(body):
            raise _wrong(CHANGES, number, "its content does not match its checksum")
        entry = self._entries.setdefault((kind, entity_id), _Entry())
        entry.version += 1
        if type(row["version"]) is not int or row["version"] != entry.version:
            raise _wrong(CHANGES, number, "its version does not follow the one before")
        if not _fits(entry, row):
            raise _wrong(CHANGES, number, "it cannot follow what was done before")
        return row


def _fits(entry: _Entry, row: Mapping[str, Any]) -> bool:
    """Whether a change can follow the others of its entry; then it is counted among them."""
    step = (row["id"], row["sha"])
    if row["verb"] == UNDO:
        fits = len(entry.done) > 1 and (row["undo_of"], row["sha"]) == (entry.done[-1][0], entry.done[-2][1])
        if fits:
            entry.undone.append((entry.done.pop(), row["id"]))
        return fits
    if row["verb"] == REDO:
        fits = bool(entry.undone) and (row["undo_of"], row["sha"]) == (entry.undone[-1][1], entry.undone[-1][0][1])
        if fits:
            entry.done.append(entry.undone.pop()[0])
        return fits
    entry.done.append(step)
    entry.undone.clear()
    return row["undo_of"] is None and (entry.version > 1 or row["body"] is not None)


def _body(number: int, data: Mapping[str, Any]) -> str | None:
    """The body as the book keeps it."""
    if "body" in data:
        body = data["body"]
        try:
            sound = isinstance(body, str) and keepable(body) == body and isinstance(json.loads(body), dict)
        except (ValueError, RecursionError):
            sound = False
        if not sound:
            raise _wrong(CHANGES, number, "its body is no JSON object")
        return str(body)
    content = data["content"]
    if content is None:
        return None
    if not isinstance(content, dict):
        raise _wrong(CHANGES, number, "its content is no object")
    try:
        return body_text(content)
    except (KettleglassError, RecursionError) as error:
        raise _wrong(CHANGES, number, "its content cannot be kept") from error


def _draft_row(number: int, data: dict[str, Any], ids: _Numbered) -> dict[str, Any]:
    draft_id = ids.next(number, data)
    if data.keys() != _DRAFT_KEYS:
        raise _wrong(DRAFTS, number, "it says more or less than a draft")
    key, form = data["key"], data["form"]
    if not (isinstance(key, str) and 0 < len(key) <= 200 and key.isprintable() and keepable(key) == key):
        raise _wrong(DRAFTS, number, "its key is none")
    if form is not None and not isinstance(form, str):
        raise _wrong(DRAFTS, number, "its form is no text")
    kept = None if form is None else json.dumps(form)
    at, who = _moment(DRAFTS, number, data["at"]), _text(DRAFTS, number, data["who"])
    return {"id": draft_id, "key": key, "at": at, "who": who, "form": kept}


def _moment(name: str, number: int, said: object) -> datetime:
    if isinstance(said, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]{15}Z", said):
        try:
            at = datetime.fromisoformat(said).astimezone(UTC)
        except ValueError:
            pass
        else:
            if written(at) == said:
                return at
    raise _wrong(name, number, "its moment is none")


def _text(name: str, number: int, said: object) -> str:
    if not isinstance(said, str) or keepable(said) != said:
        raise _wrong(name, number, "who made it cannot be kept as text")
    return said
