"""A clock that is told, ids that count, and books in memory and in a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from kettleglass.workshop import (
    Ids,
    Notebook,
    export_book,
    keep_draft,
    redo_recipe,
    remove_recipe,
    save_recipe,
    undo_recipe,
)


class ToldClock:
    """Goes one second further at each look; `jump` moves it, also back."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now

    def jump(self, step: timedelta) -> None:
        self.now += step


@pytest.fixture
def clock() -> ToldClock:
    return ToldClock()


@pytest.fixture
def open_book(tmp_path: Path, clock: ToldClock) -> Iterator[Callable[..., Notebook]]:
    """Opens the book of this test (or another name) and closes it at the end."""
    opened: list[Notebook] = []

    def opener(name: str = "book.db", who: str = "Ada") -> Notebook:
        opened.append(Notebook.open(tmp_path / name, clock=clock, who=who))
        return opened[-1]

    yield opener
    for book in opened:
        book.close()


@pytest.fixture(params=["memory", "file"])
def book(request: pytest.FixtureRequest, tmp_path: Path, clock: ToldClock) -> Iterator[Notebook]:
    """A new, empty book: each test that asks for it runs on both kinds."""
    ids = Ids(clock, random_bits=lambda bits: 0)
    if request.param == "memory":
        made = Notebook.in_memory(clock=clock, who="Ada", new_id=ids)
    else:
        made = Notebook.open(tmp_path / "book.db", clock=clock, who="Ada", new_id=ids)
    with made:
        yield made
        assert made.check() == ()


@pytest.fixture
def out(open_book, tmp_path) -> Path:
    """A folder with the open files of a small book."""
    book = open_book()
    saved = save_recipe(book, None, 'name = "Läuterseife"\r\n', "Läuterseife № 1", 0)
    save_recipe(book, saved.id, "other", "=HYPERLINK(1)", 1)
    undo_recipe(book, saved.id)
    redo_recipe(book, saved.id)
    gone = save_recipe(book, "Gone", "x", "gone", 0)
    remove_recipe(book, gone.id)
    for which in ("abc", "ABC"):
        save_recipe(book, which, f"text of {which}", "Same", 0)
    keep_draft(book, saved.id, '{"text": "half typ')
    export_book(book, tmp_path / "out")
    return tmp_path / "out"


@pytest.fixture
def zipped(out: Path, open_book, tmp_path: Path) -> Path:
    return export_book(open_book(), tmp_path / "out.zip").path
