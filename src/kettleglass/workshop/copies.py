"""Copies of a book: making one, what copies there are, and putting one in the place of the book.

Copies stand in `backups` beside the book, named after it, why they were made, and when (UTC). Nothing here writes over
a file, and nothing is removed unless it is asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import false, func, select
from sqlalchemy.exc import DBAPIError

from kettleglass.errors import BadInput
from kettleglass.workshop.changes import View
from kettleglass.workshop.engine import copy_file, open_store, put_over
from kettleglass.workshop.ids import Clock
from kettleglass.workshop.notebook import Notebook
from kettleglass.workshop.refusals import NotABook, StoreTrouble, UnusableCopy
from kettleglass.workshop.schema import stored_revision
from kettleglass.workshop.settling import free_name, settle, settle_near, told, workroom
from kettleglass.workshop.tables import CHANGE, ENTITY

FOLDER = "backups"
BY_HAND, BEFORE_LAYOUT, PUT_ASIDE = "copy", "layout", "put-aside"
"""Why a copy was made, as its name says it: asked for; before the layout changed; before another took its place."""
_NAME = re.compile(r"(?P<why>copy|layout-[0-9]{4}|put-aside)-(?P<at>[0-9]{8}T[0-9]{6})(?:-[0-9]{1,3})?\.db")


@dataclass(frozen=True, slots=True)
class BookCopy:
    """A copy in the folder of copies; `why` is one of `BY_HAND`, `BEFORE_LAYOUT`, `PUT_ASIDE`."""

    path: Path
    why: str
    at: datetime
    size_bytes: int


@dataclass(frozen=True, slots=True)
class Held:
    """What a sound book holds: entries that are there now, changes ever made, the moment of the last one."""

    entries: int
    changes: int
    last_change: datetime | None

    @property
    def said(self) -> str:
        """How much it is, in words."""
        entries = "1 entry" if self.entries == 1 else f"{self.entries} entries"
        return f"{entries}, {'1 change' if self.changes == 1 else f'{self.changes} changes'} in all"


@dataclass(frozen=True, slots=True)
class Made:
    """A copy that was just made, and the automatic ones that were removed because that was asked for."""

    path: Path
    size_bytes: int
    held: Held
    removed: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Restored:
    """What now stands in the place of the book, and where the former book was put (None: there was none)."""

    held: Held
    put_aside: Path | None


def backup_book(notebook: Notebook, to: Path | None = None, *, keep_automatic: int | None = None) -> Made:
    """A whole copy of the book in one file: at `to`, else dated in the folder of copies; never over another file.

    With `keep_automatic` all but so many newest copies that were made before layout changes are removed afterwards;
    those made by hand and those put aside always stay. Raises `Taken` and `StoreTrouble`.
    """
    book = _path_of(notebook)
    if keep_automatic is not None and keep_automatic < 0:
        raise BadInput("Less than no copies cannot be kept.", remedy="Give 0 or more.")
    usual = dated(book, BY_HAND, notebook.clock())
    with workroom((to or usual).absolute().parent) as room:
        finished = notebook.backup(room / "copy.db")
        path = settle_near(finished, usual) if to is None else settle(finished, to.absolute())
    removed = () if keep_automatic is None else _remove_automatic(book, keep_automatic)
    with notebook.reading() as view:
        held = held_by(view)
    return Made(path, path.stat().st_size, held, removed)


def list_copies(book: Path) -> tuple[BookCopy, ...]:
    """The copies of a book in its folder of copies, newest first."""
    with told():
        found = [_copy_at(path, book) for path in (book.parent / FOLDER).glob(f"{book.stem}-*.db")]
    return tuple(sorted((one for one in found if one is not None), key=lambda one: (one.at, one.path), reverse=True))


def copy_named(book: Path, name: str) -> BookCopy:
    """The copy of that file name. Raises `UnusableCopy` when there is none in the folder of copies."""
    found = next((copy for copy in list_copies(book) if copy.path.name == name), None)
    if found is None:
        raise UnusableCopy("There is no such copy of this book.", remedy="Choose one from the list of copies.")
    return found


def look_into(book: Path, copy: Path, *, clock: Clock) -> Held:
    """What a copy holds, once it is found to be whole. Raises `UnusableCopy`, `NewerBook`; the copy is only read."""
    with _sound(book, copy, clock) as (_, held):
        return held


def restore_book(book: Path, copy: Path, *, clock: Clock) -> Restored:
    """Put a copy in the place of the book, whether that is there, damaged or missing.

    The copy is checked first and stays where it is; what the book holds now is kept as one more copy. Whatever
    happens meanwhile, the book holds the old content or the new. Raises `UnusableCopy` for what is no whole book,
    `NewerBook` for one of a later version, `StoreTrouble` while the book is open elsewhere.
    """
    with _sound(book, copy, clock) as (content, held):
        aside = free_name(dated(book, PUT_ASIDE, clock()))
        try:
            existed = put_over(book, content, aside)
        finally:
            if aside.stat().st_size == 0:
                aside.unlink()
    return Restored(held, aside if existed and aside.exists() else None)


@contextmanager
def _sound(book: Path, copy: Path, clock: Clock) -> Iterator[tuple[Path, Held]]:
    """A copy of the copy, found whole and brought up to date, with what it holds."""
    copy = copy.absolute()
    if not copy.is_file():
        raise UnusableCopy(f"There is no file {copy}.", remedy="Name the file of a copy.")
    if book.exists() and copy.samefile(book):
        raise UnusableCopy("That is the book itself.", remedy="Name the file of a copy.")
    with workroom(book.parent / FOLDER) as room:
        content = room / "book.db"
        try:
            copy_file(copy, content)
            _refuse_empty(content)
            with Notebook.open(content, clock=clock, who="") as opened:
                faults = opened.check()
                with opened.reading() as view:
                    held = held_by(view)
        except NotABook as error:
            raise UnusableCopy(f"{copy.name} is no workshop book.", why=_AS_IT_WAS, remedy=_ANOTHER) from error
        except StoreTrouble as error:
            why = f"{error.what} {_AS_IT_WAS}"
            raise UnusableCopy(f"{copy.name} cannot be read.", why=why, remedy=_ANOTHER) from error
        except (DBAPIError, ValueError) as error:  # it says it is a book, and lacks what a book has
            raise UnusableCopy(f"{copy.name} is damaged.", why=_AS_IT_WAS, remedy=_ANOTHER) from error
        if faults:
            why = f"{faults[0].text} {_AS_IT_WAS}"
            raise UnusableCopy(f"{copy.name} is damaged.", why=why, remedy=_ANOTHER)
        yield content, held


_AS_IT_WAS = "The book is as it was."
_ANOTHER = "Choose another copy."


def _refuse_empty(content: Path) -> None:
    store = open_store(content)
    try:
        with store.reading() as connection:
            revision = stored_revision(connection)
    finally:
        store.close()
    if revision is None:
        raise NotABook("The file is empty.")


def size_said(size_bytes: int) -> str:
    """A size of a file as people say it: 812 bytes, 41 kB, 3.2 MB."""
    for limit, unit, decimals in ((1e3, "bytes", 0), (1e6, "kB", 0), (1e9, "MB", 1)):
        if size_bytes < limit:
            return f"{size_bytes / limit * 1e3:.{decimals}f} {unit}"
    return f"{size_bytes / 1e9:.1f} GB"


def held_by(view: View) -> Held:
    """What a book holds at this moment."""
    there = select(func.count()).select_from(ENTITY).where(ENTITY.c.removed == false())
    changes, last = view.connection.execute(select(func.count(CHANGE.c.id), func.max(CHANGE.c.at))).one()
    return Held(int(view.connection.execute(there).scalar_one()), int(changes), last)


def _path_of(notebook: Notebook) -> Path:
    if notebook.path is None:
        raise BadInput("This book is no file.", remedy="Copy it with the backup program of its database server.")
    return notebook.path


def dated(book: Path, why: str, now: datetime) -> Path:
    """Where a copy that is made now belongs."""
    return book.parent / FOLDER / f"{book.stem}-{why}-{now.astimezone(UTC):%Y%m%dT%H%M%S}.db"


def _copy_at(path: Path, book: Path) -> BookCopy | None:
    """The copy at a path; None for what is named otherwise, and for an empty name that a killed program held."""
    found = _NAME.fullmatch(path.name.removeprefix(f"{book.stem}-"))
    size = path.stat().st_size if found and path.is_file() else 0
    if not found or not size:
        return None
    try:
        at = datetime.strptime(found["at"], "%Y%m%dT%H%M%S").replace(tzinfo=UTC)
    except ValueError:  # digits that are no date: named by somebody else
        return None
    why = BEFORE_LAYOUT if found["why"].startswith(BEFORE_LAYOUT) else found["why"]
    return BookCopy(path, why, at, size)


def _remove_automatic(book: Path, keep: int) -> tuple[Path, ...]:
    old = [copy.path for copy in list_copies(book) if copy.why == BEFORE_LAYOUT][keep:]
    with told():
        for path in old:
            path.unlink()
    return tuple(old)
