"""Copies of the book that is looked at: making one, downloading one, putting one in place; everything as open files."""

from __future__ import annotations

import tempfile
from pathlib import Path

from starlette.background import BackgroundTask
from starlette.responses import FileResponse, Response

from kettleglass.web.asking import Ask, go
from kettleglass.workshop import backup_book, copy_named, export_book, list_copies, look_into

PAGE = "/workshop/safety"
WHY = {
    "copy": "made by hand",
    "layout": "made before the layout of the book changed",
    "put-aside": "put aside when a copy took its place",
}
"""Why there is a copy, in words."""


def show(ask: Ask) -> Response:
    """The copies there are, and what can be done."""
    return ask.page("workshop/copies.html", {"copies": list_copies(_book(ask)), "whys": WHY, "folder": _folder(ask)})


def make(ask: Ask) -> Response:
    """A copy as of now."""
    backup_book(ask.book)
    return go(PAGE, "copied-book")


def ask_once_more(ask: Ask) -> Response:
    """What a copy holds, once it is found whole, and what putting it in place would do."""
    copy = copy_named(_book(ask), ask.path("name"))
    held = look_into(_book(ask), copy.path, clock=ask.desk.clock)
    return ask.page("workshop/put.html", {"copy": copy, "held": held, "whys": WHY})


def put_in_place(ask: Ask) -> Response:
    """The copy in the place of the book, which is put aside."""
    copy = copy_named(_book(ask), ask.path("name"))
    ask.desk.put_in_place(copy.path, invented=ask.invented)
    return go(PAGE, "book-restored")


def file_of(ask: Ask) -> Response:
    """A copy, to take along."""
    copy = copy_named(_book(ask), ask.path("name"))
    return FileResponse(copy.path, media_type="application/vnd.sqlite3", filename=copy.path.name)


def everything(ask: Ask) -> Response:
    """Everything in the book as open files, in one zip file."""
    room = tempfile.TemporaryDirectory(prefix="kettleglass-", ignore_cleanup_errors=True)
    done = export_book(ask.book, Path(room.name) / "everything.zip")
    name = f"{_book(ask).stem}-{ask.desk.clock():%Y%m%d}.zip"
    return FileResponse(done.path, media_type="application/zip", filename=name, background=BackgroundTask(room.cleanup))


def _book(ask: Ask) -> Path:
    return ask.desk.book_path(invented=ask.invented)


def _folder(ask: Ask) -> Path:
    return _book(ask).parent / "backups"
