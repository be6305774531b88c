"""A whole book as open files, in a folder or in one zip file: the same book gives the same bytes."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol

from sqlalchemy import select

from kettleglass.workshop.changes import Change, View, body_text, folded
from kettleglass.workshop.notebook import Notebook
from kettleglass.workshop.openfiles import (
    CHANGES,
    DRAFTS,
    ENTRIES,
    MANIFEST,
    README,
    README_TEXT,
    RECIPES,
    FileNote,
    Manifest,
)
from kettleglass.workshop.recipes import KIND as RECIPE
from kettleglass.workshop.refusals import Taken
from kettleglass.workshop.schema import HEAD
from kettleglass.workshop.settling import settle, told, workroom
from kettleglass.workshop.tables import CHANGE, DRAFT, ENTITY, Moment

_CHUNK = 500
_HEADS = ("kind", "id", "name", "version", "updated", "removed")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_MOMENT = Moment()
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""The date of every file in a zip, the earliest it can hold: a real one would make equal books unequal."""


@dataclass(frozen=True, slots=True)
class Exported:
    """Where the files are, and how much there is of what."""

    path: Path
    counts: Mapping[str, int]
    size_bytes: int


class Sink(Protocol):
    """Takes files, one after another."""

    def put(self, name: str, pieces: Iterable[bytes]) -> None:
        """Keep a file that is made of these pieces."""


def export_book(notebook: Notebook, target: Path) -> Exported:
    """Everything in the book as open files: in a zip file if `target` ends so, else in a new folder.

    All of it is of one moment. Raises `Taken` where something is at `target` already (an empty folder is not),
    `StoreTrouble` where it cannot be written.
    """
    target = target.absolute()
    _refuse_taken(target)
    with workroom(target.parent) as room, told():
        if target.suffix.lower() == ".zip":
            with zipfile.ZipFile(room / "book.zip", "w", zipfile.ZIP_DEFLATED) as archive:
                counts = write_out(notebook, _Zip(archive))
            settle(room / "book.zip", target)
        else:
            counts = write_out(notebook, _Folder(room / "book"))
            if target.exists():
                target.rmdir()
            (room / "book").rename(target)
    return Exported(target, counts, _size(target))


def write_out(notebook: Notebook, sink: Sink) -> Mapping[str, int]:
    """Hand every file of a book to the sink; how much there is of what."""
    counts: dict[str, int] = {}
    files: dict[str, FileNote] = {}

    def put(name: str, pieces: Iterable[bytes]) -> None:
        noted = _Noted(pieces)
        sink.put(name, noted)
        files[name] = noted.note

    with notebook.reading() as view:
        put(README, [README_TEXT.encode()])
        put(CHANGES, _counted(change_lines(view), "changes", counts))
        put(DRAFTS, _counted(draft_lines(view), "drafts", counts))
        put(ENTRIES, _counted(_entry_lines(view), "entries", counts))
        counts["entries"] -= 1  # the first line holds the heads
        counts["recipes"] = 0
        for name, text in _recipe_files(view):
            put(name, [text])
            counts["recipes"] += 1
    manifest = Manifest(HEAD, counts, files).as_dict()
    sink.put(MANIFEST, [json.dumps(manifest, indent=1, sort_keys=True).encode() + b"\n"])
    return counts


def change_lines(view: View) -> Iterator[bytes]:
    """Every change, oldest first, one line each."""
    query = select(CHANGE).order_by(CHANGE.c.id).execution_options(yield_per=_CHUNK)
    for row in view.connection.execute(query):
        yield line_of(_change_data(Change(*row)))


def draft_lines(view: View) -> Iterator[bytes]:
    """Every kept draft, oldest first, one line each."""
    for row in view.connection.execute(select(DRAFT).order_by(DRAFT.c.id).execution_options(yield_per=_CHUNK)):
        form = None if row.form is None else json.loads(row.form)
        yield line_of({"id": row.id, "key": row.key, "at": written(row.at), "who": row.who, "form": form})


def line_of(data: Mapping[str, Any]) -> bytes:
    """One line of JSON in the one way of writing it."""
    return body_text(data).encode() + b"\n"


def written(at: datetime) -> str:
    """A moment as the book keeps it: 2026-03-01T08:00:01.000000Z."""
    return _MOMENT.process_bind_param(at, None) or ""


def _change_data(change: Change) -> dict[str, Any]:
    data: dict[str, Any] = {
        "id": change.id, "at": written(change.at), "who": change.who, "kind": change.kind,
        "entity_id": change.entity_id, "version": change.version, "verb": change.verb, "sha": change.sha,
        "undo_of": change.undo_of,
    }  # fmt: skip
    content = change.content
    as_kept = content is None or body_text(content) == change.body
    return {**data, "content": content} if as_kept else {**data, "body": change.body}


def _entry_lines(view: View) -> Iterator[bytes]:
    yield _csv_line(_HEADS)
    columns = (ENTITY.c.kind, ENTITY.c.id, ENTITY.c.name, ENTITY.c.version, ENTITY.c.updated_at, ENTITY.c.removed)
    query = select(*columns).order_by(ENTITY.c.change_id).execution_options(yield_per=_CHUNK)
    for kind, entity_id, name, version, updated, removed in view.connection.execute(query):
        shown = f"'{name}" if name.startswith(_FORMULA) else name
        yield _csv_line((kind, entity_id, shown, version, written(updated), "yes" if removed else "no"))


def _csv_line(cells: Iterable[object]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerow(cells)
    return text.getvalue().encode()


def _recipe_files(view: View) -> Iterator[tuple[str, bytes]]:
    """Name and text of every recipe that is there now; names differ by more than capitals."""
    taken: set[str] = set()
    here = (ENTITY.c.kind == RECIPE) & ~ENTITY.c.removed
    query = select(ENTITY.c.id, ENTITY.c.name, ENTITY.c.body).where(here).order_by(ENTITY.c.change_id)
    for recipe_id, name, body in view.connection.execute(query.execution_options(yield_per=_CHUNK)):
        slug = re.sub(r"[^a-z0-9]+", "-", folded(name)).strip("-")[:60] or "recipe"
        stem, number = f"{slug}-{recipe_id.lower()}", 1
        while (free := stem if number == 1 else f"{stem}-{number}") in taken:
            number += 1
        taken.add(free)
        yield f"{RECIPES}{free}.toml", str(json.loads(body).get("text", "")).encode("utf-8", "replace")


def _counted(lines: Iterator[bytes], name: str, counts: dict[str, int]) -> Iterator[bytes]:
    counts[name] = 0
    for line in lines:
        counts[name] += 1
        yield line


class _Noted:
    """Pieces on their way into a file; `note` is what the manifest says of it once they are through."""

    def __init__(self, pieces: Iterable[bytes]) -> None:
        self._pieces, self._size, self._sha = pieces, 0, hashlib.sha256()

    def __iter__(self) -> Iterator[bytes]:
        for piece in self._pieces:
            self._size += len(piece)
            self._sha.update(piece)
            yield piece

    @property
    def note(self) -> FileNote:
        return FileNote(self._size, self._sha.hexdigest())


class _Folder:
    """Files in a folder."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def put(self, name: str, pieces: Iterable[bytes]) -> None:
        path = self._folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as file:
            file.writelines(pieces)


class _Zip:
    """Files in a zip file, all of one date."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive

    def put(self, name: str, pieces: Iterable[bytes]) -> None:
        entry = zipfile.ZipInfo(name, _LONG_AGO)
        entry.compress_type, entry.create_system, entry.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
        with self._archive.open(entry, "w", force_zip64=True) as file:
            for piece in pieces:
                file.write(piece)


class Digests:
    """Keeps nothing of the files but what the manifest would note of each."""

    def __init__(self) -> None:
        self.notes: dict[str, FileNote] = {}

    def put(self, name: str, pieces: Iterable[bytes]) -> None:
        """Note a file."""
        noted = _Noted(pieces)
        for _ in noted:
            pass
        self.notes[name] = noted.note


def _refuse_taken(target: Path) -> None:
    with told():
        if target.exists() and (not target.is_dir() or any(target.iterdir())):
            raise Taken(target)


def _size(target: Path) -> int:
    files = [target] if target.is_file() else [path for path in target.rglob("*") if path.is_file()]
    return sum(path.stat().st_size for path in files)
