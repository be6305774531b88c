"""What the workshop book refuses, and why. Importing this file needs no database library."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kettleglass.errors import BadInput, KettleglassError

if TYPE_CHECKING:
    from kettleglass.workshop.changes import Change


class StoreTrouble(KettleglassError):
    """The book cannot be read or written just now: full disk, no permission, damaged file, busy."""


class NotABook(KettleglassError):
    """The file exists but is not a workshop book; it was left untouched."""


class NewerBook(KettleglassError):
    """The book was written by a later Kettleglass; it was left untouched."""

    def __init__(self, revision: str, known: str) -> None:
        self.revision, self.known = revision, known
        super().__init__(
            f"This workshop book has the layout {revision}, and this Kettleglass knows layouts up to {known}.",
            why="A later version wrote it; nothing in it was touched.",
            remedy="Install the later version, or open a backup copy made before it.",
        )


class UnusableCopy(BadInput):
    """What should be put in place or taken in is no book, or no longer what it was; nothing was changed."""


class Taken(BadInput):
    """Something stands already where something new should be written; it was left as it is."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(
            f"There is something at {path} already.", remedy="Choose another name; nothing is written over."
        )


class NoSuchEntry(KettleglassError, KeyError):
    """Nothing with this id and version is in the book."""

    def __init__(self, kind: str, entity_id: str, version: int | None = None) -> None:
        self.kind, self.entity_id, self.version = kind, entity_id, version
        which = f"version {version} of the {kind}" if version is not None else f"{kind}"
        super().__init__(
            f"The workshop book has no {which} “{entity_id}”.",
            remedy="Go back to the list and choose it there.",
        )


class NothingToUndo(KettleglassError):
    """There is no earlier state to go back to, or no undone state to return to."""

    def __init__(self, kind: str, entity_id: str, verb: str) -> None:
        self.kind, self.entity_id, self.verb = kind, entity_id, verb
        why = "This is how it was first written." if verb == "undo" else "Nothing was undone since the last change."
        super().__init__(f"There is nothing to {verb} in this {kind}.", why=why, remedy="See its history.")


class Stale(KettleglassError):
    """Somebody else changed the entry meanwhile; every text needed to lose nothing is kept here.

    `seen` is the version the writer started from, `latest` the one now in the book (each with its
    body, `None` when there is none), `given` the content that was refused (`None`: a removal or an undo).
    """

    def __init__(
        self, kind: str, entity_id: str, *, expected_version: int, seen: Change | None, latest: Change | None,
        given: Mapping[str, Any] | None,
    ) -> None:  # fmt: skip
        self.kind, self.entity_id = kind, entity_id
        self.expected_version, self.seen = expected_version, seen
        self.latest, self.given = latest, given
        by = f" by {latest.who}" if latest is not None and latest.who else ""
        super().__init__(
            f"This {kind} was changed meanwhile{by}: you started from version {expected_version}, "
            f"the book now holds version {self.current_version}.",
            why="Saving over it would hide the other change.",
            remedy="Compare the two, then save yours on top or keep the other; what you typed is kept.",
        )

    @property
    def current_version(self) -> int:
        """The version number now in the book; 0 when there is none."""
        return self.latest.version if self.latest is not None else 0
