"""Copies of a book: made, listed, put in its place; and everything that must not be put there."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from kettleglass.errors import BadInput
from kettleglass.workshop import (
    NewerBook,
    Notebook,
    StoreTrouble,
    Taken,
    UnusableCopy,
    backup_book,
    copy_named,
    list_copies,
    list_recipes,
    look_into,
    remove_recipe,
    restore_book,
    save_recipe,
    utc_now,
)

OLD_BOOKS = Path(__file__).parents[1] / "notebooks"
NOW = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)


def names(path: Path) -> list[str]:
    with Notebook.open(path, clock=utc_now, who="") as book:
        assert book.check() == ()
        return sorted(recipe.name for recipe in list_recipes(book))


@pytest.fixture
def copied(open_book):
    """A book that went on after its copy was made, closed; its path and that of the copy."""
    book = open_book()
    save_recipe(book, None, "text", "first", 0)
    made = backup_book(book)
    save_recipe(book, None, "text", "second", 0)
    book.close()
    return book.path, made.path


def test_a_copy_says_where_it_is_and_what_it_holds(open_book, tmp_path) -> None:
    book = open_book()
    first = save_recipe(book, None, "text", "first", 0)
    save_recipe(book, None, "text", "second", 0)
    remove_recipe(book, first.id)
    made = backup_book(book)
    assert made.path.parent == tmp_path / "backups"
    assert made.path.name.startswith("book-copy-20260301T0800")
    assert made.size_bytes == made.path.stat().st_size > 0
    assert (made.held.entries, made.held.changes) == (1, 3)
    assert names(made.path) == ["second"]


def test_no_copy_is_ever_written_over(open_book, tmp_path) -> None:
    book = open_book()
    book.clock = lambda: NOW
    made = [backup_book(book).path.name for _ in range(3)]
    assert made == [f"book-copy-20260301T080000{number}.db" for number in ("", "-2", "-3")]
    to = tmp_path / "mine.db"
    assert backup_book(book, to).path == to
    before = to.read_bytes()
    save_recipe(book, None, "text", "first", 0)
    with pytest.raises(Taken, match=r"mine\.db already"):
        backup_book(book, to)
    assert to.read_bytes() == before
    assert not list(tmp_path.glob(".kettleglass-*"))
    with Notebook.in_memory(clock=utc_now, who="") as fleeting, pytest.raises(BadInput, match="no file"):
        backup_book(fleeting)


def test_copies_are_listed_newest_first_with_why_they_were_made(copied) -> None:
    book, _ = copied
    folder = book.parent / "backups"
    named = ("book-layout-0001-20250101T000000.db", "book-put-aside-20270101T000000-2.db")
    strange = ("book-copy-20269901T000000.db", "other-copy-20260101T000000.db", "book-letter.db", "book-copy.txt")
    for name in (*named, *strange):
        (folder / name).write_bytes(b"x")
    (folder / "book-copy-20280101T000000.db").touch()
    found = list_copies(book)
    assert [copy.why for copy in found] == ["put-aside", "copy", "layout"]
    assert found[0].at == datetime(2027, 1, 1, tzinfo=UTC)
    assert copy_named(book, named[0]) == found[2]
    for name in ("../book.db", "book-letter.db", "", str(book)):
        with pytest.raises(UnusableCopy):
            copy_named(book, name)
    assert list_copies(book.parent / "none" / "book.db") == ()


def test_automatic_copies_are_removed_only_when_asked_and_no_others(copied, open_book) -> None:
    book, by_hand = copied
    folder = book.parent / "backups"
    old = [folder / f"book-layout-0001-2025010{day}T000000.db" for day in (1, 2, 3)]
    aside = folder / "book-put-aside-20240101T000000.db"
    for path in (*old, aside):
        path.write_bytes(b"x")
    opened = open_book()
    assert backup_book(opened).removed == ()
    made = backup_book(opened, keep_automatic=1)
    assert set(made.removed) == set(old[:2])
    assert old[2].exists() and aside.exists() and by_hand.exists() and made.path.exists()
    with pytest.raises(BadInput):
        backup_book(opened, keep_automatic=-1)


def test_a_copy_is_put_in_place_and_the_book_put_aside(copied) -> None:
    book, copy = copied
    before = copy.read_bytes()
    assert look_into(book, copy, clock=utc_now).entries == 1
    done = restore_book(book, copy, clock=lambda: NOW)
    assert done.put_aside == book.parent / "backups" / "book-put-aside-20260301T080000.db"
    assert names(book) == ["first"]
    assert names(done.put_aside) == ["first", "second"]
    assert copy.read_bytes() == before
    back = restore_book(book, done.put_aside, clock=lambda: NOW)
    assert back.put_aside.name == "book-put-aside-20260301T080000-2.db"
    assert names(book) == ["first", "second"]
    assert sorted(path.name for path in book.parent.iterdir()) == ["backups", "book.db"]


def test_a_book_may_be_missing(copied) -> None:
    book, copy = copied
    book.unlink()
    Path(f"{book}-wal").write_bytes(b"what a lost book left")
    done = restore_book(book, copy, clock=lambda: NOW)
    assert done.put_aside is None
    assert names(book) == ["first"]
    assert (book.parent / "backups" / "book-put-aside-20260301T080000.db-wal").read_bytes() == b"what a lost book left"


@pytest.mark.parametrize("damage", [slice(0, 3000), slice(5000, 9000), slice(0, 100_000), slice(2000, 100_000, 7)])
def test_a_damaged_book_is_put_aside_as_it_is(copied, damage: slice) -> None:
    book, copy = copied
    content = bytearray(book.read_bytes())
    content[damage] = b"\xa5" * len(content[damage])
    book.write_bytes(content)
    done = restore_book(book, copy, clock=utc_now)
    assert done.put_aside.read_bytes()[4096:] == content[4096:]
    assert names(book) == ["first"]


def test_a_book_that_lost_its_end_is_replaced(copied) -> None:
    book, copy = copied
    book.write_bytes(book.read_bytes()[:5000])
    restore_book(book, copy, clock=utc_now)
    assert names(book) == ["first"]


@pytest.mark.parametrize("layout", ["0001", "0002"])
def test_a_copy_of_an_older_layout_is_brought_up_to_date(copied, layout: str) -> None:
    book, _ = copied
    copy = OLD_BOOKS / f"layout-{layout}.db"
    before = copy.read_bytes()
    restore_book(book, copy, clock=utc_now)
    assert names(book) == ["Läuterseife № 1"]
    assert copy.read_bytes() == before


def refusal(book: Path, copy: Path) -> str:
    """Why the copy is refused; the book and the copy must be as they were."""
    before = (book.read_bytes(), copy.read_bytes() if copy.is_file() else b"")
    with pytest.raises((UnusableCopy, NewerBook)) as refused:
        restore_book(book, copy, clock=utc_now)
    with pytest.raises(type(refused.value)):
        look_into(book, copy, clock=utc_now)
    assert (book.read_bytes(), copy.read_bytes() if copy.is_file() else b"") == before
    assert [one.why for one in list_copies(book)] == ["copy"]
    return refused.value.sentence


def test_what_is_no_whole_book_is_refused(copied, tmp_path) -> None:
    book, copy = copied
    whole = copy.read_bytes()
    strange = {
        "letter": b"Dear Ada, the bars are clear at last.\n" * 100, "nothing": b"", "cut": whole[: len(whole) // 2],
        "first page": whole[:4096], "half": whole[: len(whole) // 2] + bytes(len(whole) // 2),
    }  # fmt: skip
    for name, content in strange.items():
        path = tmp_path / f"{name}.db"
        path.write_bytes(content)
        assert f"{name}.db" in refusal(book, path)
    assert "no file" in refusal(book, tmp_path / "none.db")
    assert "no file" in refusal(book, tmp_path)
    assert "the book itself" in refusal(book, book)


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("UPDATE alembic_version SET version_num = '0999'", "0999"),
        ("DELETE FROM alembic_version", "no workshop book"),
        ("DROP TABLE entity", "damaged"),
        ("UPDATE entity SET name = 'other'", "not listed as its last change left it"),
        ("DROP TRIGGER change_no_update; UPDATE change SET body = '{}'", "does not match its checksum"),
        ("DROP TRIGGER change_no_update; UPDATE change SET body = 'x', sha = ''", "does not match its checksum"),
        ("DROP TABLE alembic_version", "no workshop book"),
    ],
)
def test_a_copy_that_was_tampered_with_is_refused(copied, tmp_path, sql: str, said: str) -> None:
    book, copy = copied
    other = tmp_path / "other.db"
    other.write_bytes(copy.read_bytes())
    raw = sqlite3.connect(other)
    raw.executescript(sql)
    raw.close()
    assert said in refusal(book, other)


HOLD = """
import sys
from kettleglass.workshop import Notebook, list_recipes, utc_now
book = Notebook.open(sys.argv[1], clock=utc_now, who="")
list_recipes(book)
print("open", flush=True)
sys.stdin.readline()
"""


def test_a_book_open_in_another_program_stays(copied, monkeypatch) -> None:
    monkeypatch.setattr("kettleglass.workshop.engine.WAIT_S", 0.05)
    book, copy = copied
    command = [sys.executable, "-c", HOLD, str(book)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout.readline() == "open\n"
        with pytest.raises(StoreTrouble, match="open in another Kettleglass"):
            restore_book(book, copy, clock=utc_now)
        content = bytearray(book.read_bytes())
        content[:100] = bytes(100)
        with book.open("rb+") as file:
            file.write(bytes(100))
        with pytest.raises(StoreTrouble, match="open in another Kettleglass"):
            restore_book(book, copy, clock=utc_now)
        assert book.read_bytes()[:100] == bytes(100)
        other.communicate("\n")
    assert [one.why for one in list_copies(book)] == ["copy"]
    restore_book(book, copy, clock=utc_now)
    assert names(book) == ["first"]


def test_what_a_killed_program_left_unfinished_goes_after_a_day(copied) -> None:
    book, copy = copied
    left = [book.parent / "backups" / f".kettleglass-unfinished-{name}" for name in ("old", "new")]
    for folder in left:
        folder.mkdir()
        (folder / "book.db").write_bytes(b"x")
    os.utime(left[0], (1, 1))
    look_into(book, copy, clock=utc_now)
    assert [folder.exists() for folder in left] == [False, True]
