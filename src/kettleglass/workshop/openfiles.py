"""The layout of a book taken out as open files: which files there are, what a line of each says, how large they may be.

Anything that reads JSON lines, CSV and TOML can read them without Kettleglass; `README.txt` among them says how.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeGuard

from kettleglass.workshop.refusals import UnusableCopy

FORMAT, FORMAT_VERSION = "kettleglass-book", 1
MANIFEST, README, CHANGES, ENTRIES, DRAFTS = (
    "manifest.json", "README.txt", "changes.jsonl", "entries.csv", "drafts.jsonl",
)  # fmt: skip
RECIPES = "recipes/"
OWN_NAME = re.compile(
    r"README\.txt|changes\.jsonl|entries\.csv|drafts\.jsonl|recipes/[a-z0-9][a-z0-9._~-]{0,199}\.toml"
)
"""What the files may be called; nothing else is ever opened."""
MOST_BYTES = 4_000_000_000
"""Of all files together, unpacked."""
MOST_LINE_BYTES = 64_000_000
MOST_MANIFEST_BYTES = 64_000_000
FREELY_BYTES, MOST_SWELLING = 100_000_000, 300
"""What is larger than the first when unpacked, and swells more than the second number of times, is taken for a trap."""


@dataclass(frozen=True, slots=True)
class FileNote:
    """What the manifest notes of a file."""

    size_bytes: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Manifest:
    """What was taken out: the layout of the book, how much of what, and every file by name."""

    layout: str
    counts: Mapping[str, int]
    files: Mapping[str, FileNote]

    def as_dict(self) -> dict[str, Any]:
        """The manifest as plain data."""
        files = {name: {"bytes": one.size_bytes, "sha256": one.sha256} for name, one in self.files.items()}
        return {
            "format": FORMAT, "format_version": FORMAT_VERSION, "layout": self.layout, "counts": dict(self.counts),
            "files": files,
        }  # fmt: skip


def manifest_from(data: object) -> Manifest:
    """The manifest out of its JSON. Raises `UnusableCopy` for what is none of ours, or of a later version."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise UnusableCopy("This is not a book taken out by Kettleglass.", remedy="Name its folder or its zip file.")
    version = data.get("format_version")
    if isinstance(version, int) and version > FORMAT_VERSION:
        why = f"They have the version {version}, and this Kettleglass knows versions up to {FORMAT_VERSION}."
        raise UnusableCopy(
            "These files were taken out by a later Kettleglass.", why=why, remedy="Install the later one."
        )
    if version != FORMAT_VERSION:
        raise spoilt(MANIFEST, "it names no version")
    layout, counts, files = data.get("layout"), data.get("counts"), data.get("files")
    if not (isinstance(layout, str) and isinstance(counts, dict) and isinstance(files, dict)):
        raise spoilt(MANIFEST, "it lacks the layout, the counts or the files")
    if not all(_is_count(value) for value in counts.values()):
        raise spoilt(MANIFEST, "a count is no number")
    return Manifest(layout, counts, {name: _note(name, said) for name, said in files.items()})


def _note(name: str, said: object) -> FileNote:
    if not OWN_NAME.fullmatch(name):
        raise spoilt(MANIFEST, f"it names a file “{name}”, and no file of ours is called so")
    if not isinstance(said, dict) or not _is_count(said.get("bytes")) or not _is_sha(said.get("sha256")):
        raise spoilt(MANIFEST, f"what it says of {name} cannot be read")
    return FileNote(said["bytes"], said["sha256"])


def _is_count(value: object) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MOST_BYTES


def _is_sha(value: object) -> TypeGuard[str]:
    return isinstance(value, str) and re.fullmatch("[0-9a-f]{64}", value) is not None


def spoilt(name: str, how: str) -> UnusableCopy:
    """The refusal of files that are not as they were taken out."""
    return UnusableCopy(
        f"These files are not as they were taken out: {name}: {how}.", why="Nothing was taken in.",
        remedy="Take everything out once more, or get the files again from where they came.",
    )  # fmt: skip


def too_much(how: str) -> UnusableCopy:
    """The refusal of files that are larger than any book."""
    return UnusableCopy(f"These files are too large: {how}.", why="Nothing was taken in.", remedy="Look what they are.")


README_TEXT = """\
A workshop book of Kettleglass, taken out as open files. All of them are UTF-8.

changes.jsonl
    The whole book: every change ever made, oldest first, one JSON object a line. Nothing in the book
    is ever altered or erased, so what an entry is now is what its last change says.
      id         number of the change; later changes have larger numbers
      at, who    moment in UTC, and who made it
      kind       what the entry is: recipe, material, lot, kettle_weighing and others
      entity_id  the entry; kind and entity_id together name it
      version    1, 2, 3 and so on, counted for each entry
      verb       what was done: save, rename, copy, remove, restore, undo, redo
      content    the entry as it was from then on; null: it was removed
      sha        SHA-256 of the content as compact JSON with sorted keys; null where content is null
      undo_of    for undo and redo: the number of the change that was taken back
    Where a content cannot be written as it was kept, body holds its text in place of content.

drafts.jsonl
    What was typed and not saved, oldest first: id, key (the page), at, who, form (the fields as JSON
    text; null: the page was cleared then).

entries.csv
    What is in the book now, one entry a line, last changed last: kind, id, name, version, updated,
    removed. For reading only. Before a name that a spreadsheet would take for a formula stands a '.

recipes/
    Every recipe as it is now, as a recipe file. For reading and for handing on.

manifest.json
    The format, how much there is of what, and size and SHA-256 of every file.

To make a book of these files again: kettleglass import FOLDER (or the zip file). It reads changes.jsonl
and drafts.jsonl, and checks all of it first. A file that was altered is refused.
"""
