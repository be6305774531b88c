"""Reading a book that was taken out as open files, from a folder or a zip file, without trusting it.

Only files that the manifest names are opened, each is read as a stream, and none is ever written under the name it
brings along.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import IO, Protocol

from kettleglass.workshop.openfiles import (
    FREELY_BYTES,
    MANIFEST,
    MOST_BYTES,
    MOST_LINE_BYTES,
    MOST_MANIFEST_BYTES,
    MOST_SWELLING,
    Manifest,
    manifest_from,
    spoilt,
    too_much,
)
from kettleglass.workshop.refusals import UnusableCopy

_PIECE = 1 << 20
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, OSError)
"""What the standard library raises for a zip file that is cut short, altered, locked, or packed in an unknown way."""


class Source(Protocol):
    """Where the files come from."""

    def names(self) -> frozenset[str]:
        """Every file there is."""

    def size_bytes(self, name: str) -> int:
        """How large a file says it is, unpacked."""

    def open(self, name: str) -> IO[bytes]:
        """A file, to be read from its beginning."""


@contextmanager
def source_at(path: Path) -> Iterator[Source]:
    """The files in a folder or a zip file. Raises `UnusableCopy` for anything else, and for what is a trap."""
    path = path.absolute()
    if path.is_dir():
        yield _FolderSource(path)
        return
    if not path.is_file():
        raise UnusableCopy(f"There is nothing at {path}.", remedy="Name a folder or a zip file.")
    try:
        with zipfile.ZipFile(path) as archive:
            source = _ZipSource(archive)
            source.refuse_traps()
            yield source
    except zipfile.BadZipFile as error:
        raise UnusableCopy(f"{path.name} is no whole zip file.", why="Nothing was taken in.", remedy=_AGAIN) from error


_AGAIN = "Get it again from where it came."


def read_manifest(source: Source) -> Manifest:
    """The manifest, and that each file it names is there with the bytes it notes. Raises `UnusableCopy`."""
    if MANIFEST not in source.names():
        raise UnusableCopy(
            "This is not a book taken out by Kettleglass.",
            why=f"It holds no {MANIFEST}.",
            remedy="Name its own folder.",
        )
    if source.size_bytes(MANIFEST) > MOST_MANIFEST_BYTES:
        raise too_much(f"{MANIFEST} is")
    try:
        text = b"".join(_pieces(source, MANIFEST, MOST_MANIFEST_BYTES))
        manifest = manifest_from(json.loads(text))
    except (ValueError, RecursionError) as error:
        if isinstance(error, UnusableCopy):
            raise
        raise spoilt(MANIFEST, "it is no JSON") from error
    for name in sorted(manifest.files):
        _refuse_changed(source, name, manifest)
    return manifest


def lines_of(source: Source, name: str) -> Iterator[bytes]:
    """The lines of a file that `read_manifest` found to be as noted."""
    rest = b""
    for piece in _pieces(source, name, source.size_bytes(name)):
        *whole, rest = (rest + piece).split(b"\n")
        yield from whole
        if len(rest) > MOST_LINE_BYTES:
            raise too_much(f"a line of {name} is")
    if rest:
        raise spoilt(name, "its last line has no end")


def _refuse_changed(source: Source, name: str, manifest: Manifest) -> None:
    note = manifest.files[name]
    if name not in source.names():
        raise spoilt(name, "it is missing")
    if source.size_bytes(name) != note.size_bytes:
        raise spoilt(name, "it has another size")
    sha, size = hashlib.sha256(), 0
    for piece in _pieces(source, name, note.size_bytes):
        sha.update(piece)
        size += len(piece)
    if (size, sha.hexdigest()) != (note.size_bytes, note.sha256):
        raise spoilt(name, "it has other content")


def _pieces(source: Source, name: str, most: int) -> Iterator[bytes]:
    """A file piece by piece, never more than `most` bytes in all."""
    try:
        with source.open(name) as file:
            left = most
            while piece := file.read(min(_PIECE, left + 1)):
                left -= len(piece)
                if left < 0:
                    raise spoilt(name, "it is longer than it says")
                yield piece
    except _BROKEN as error:
        raise spoilt(name, "it cannot be read") from error


class _FolderSource:
    """Files in a folder; links are not followed, since they may lead out of it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        inner = folder / "recipes"
        found = list(folder.iterdir())
        if inner.is_dir() and not inner.is_symlink():
            found += inner.iterdir()
        files = [path for path in found if path.is_file() and not path.is_symlink()]
        self._paths = {path.relative_to(folder).as_posix(): path for path in files}
        if sum(path.stat().st_size for path in files) > MOST_BYTES:
            raise too_much(f"together more than {MOST_BYTES // 1_000_000_000} GB")

    def names(self) -> frozenset[str]:
        return frozenset(self._paths)

    def size_bytes(self, name: str) -> int:
        return self._paths[name].stat().st_size

    def open(self, name: str) -> IO[bytes]:
        return self._paths[name].open("rb")


class _ZipSource:
    """Files in a zip file."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self._entries = {entry.filename: entry for entry in archive.infolist()}

    def refuse_traps(self) -> None:
        """Raise `UnusableCopy` for names that lead out of a folder, names that stand twice, and what swells up."""
        entries = self._archive.infolist()
        for entry in entries:
            path = PurePosixPath(entry.filename.replace("\\", "/"))
            if path.is_absolute() or ".." in path.parts or ":" in entry.filename:
                raise spoilt(entry.filename[:100], "its name leads out of the folder")
        if len(self._entries) < len(entries):
            raise spoilt(MANIFEST, "a name stands twice in the zip file")
        unpacked, packed = (sum(getattr(e, size) for e in entries) for size in ("file_size", "compress_size"))
        if unpacked > MOST_BYTES or (unpacked > FREELY_BYTES and unpacked > MOST_SWELLING * packed):
            raise too_much(f"unpacked they would have {unpacked // 1_000_000} MB")

    def names(self) -> frozenset[str]:
        return frozenset(self._entries)

    def size_bytes(self, name: str) -> int:
        return self._entries[name].file_size

    def open(self, name: str) -> IO[bytes]:
        return self._archive.open(self._entries[name])
