"""A full disk, a write-protected book, a busy one: a clear sentence, and what was saved stays."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import OperationalError

from kettleglass.workshop import Notebook, StoreTrouble, engine, list_recipes, load_recipe, save_recipe


def set_on_all(book: Notebook, pragma: str) -> None:
    """A book in memory has one connection, so this holds for all that follows."""
    with book.reading() as view:
        view.connection.exec_driver_sql(pragma)


@pytest.fixture
def small(clock):
    """A book in memory with one recipe and room for only a little more."""
    with Notebook.in_memory(clock=clock, who="Ada") as book:
        saved = save_recipe(book, None, "first", "name", 0)
        with book.reading() as view:
            pages = view.connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        yield book, saved, pages


@pytest.mark.parametrize("new", [True, False])
def test_a_full_disk_is_told_and_nothing_is_lost(small, new: bool) -> None:
    book, saved, pages = small
    set_on_all(book, f"PRAGMA max_page_count={pages + 10}")
    with pytest.raises(StoreTrouble, match=r"disk is full\. Nothing was saved just now"):
        save_recipe(book, None if new else saved.id, "x" * 1_000_000, "name", 0 if new else 1)
    assert load_recipe(book, saved.id) == saved
    set_on_all(book, "PRAGMA max_page_count=1000000")
    assert save_recipe(book, saved.id, "second", "name", 1).version == 2
    assert book.check() == ()


def test_a_write_protected_book_is_told_and_can_still_be_read(small) -> None:
    book, saved, _ = small
    set_on_all(book, "PRAGMA query_only=ON")
    with pytest.raises(StoreTrouble, match="write-protected"):
        save_recipe(book, saved.id, "second", "name", 1)
    assert [recipe.id for recipe in list_recipes(book)] == [saved.id]
    set_on_all(book, "PRAGMA query_only=OFF")
    assert save_recipe(book, saved.id, "second", "name", 1).version == 2


GROW_UNTIL_REFUSED = """
import resource, sys
from kettleglass.workshop import Notebook, StoreTrouble, save_recipe, utc_now
book = Notebook.open(sys.argv[1], clock=utc_now, who="Ada")
resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, 600_000))
kept = 0
try:
    for number in range(1000):
        save_recipe(book, f"r{number}", "x" * 20_000, "name", 0)
        kept += 1
except StoreTrouble as told:
    print(kept, told)
"""


def test_a_file_that_may_not_grow_keeps_all_that_was_acknowledged(tmp_path: Path, open_book) -> None:
    path = tmp_path / "book.db"
    done = subprocess.run(
        [sys.executable, "-c", GROW_UNTIL_REFUSED, str(path)], check=True, capture_output=True, text=True
    )
    kept, told = done.stdout.split(" ", 1)
    assert "The disk" in told
    assert "what was saved before is untouched" in told
    book = open_book()
    assert {recipe.id for recipe in list_recipes(book)} == {f"r{number}" for number in range(int(kept))}
    assert int(kept) > 3
    assert book.check() == ()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path, open_book) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(StoreTrouble, match="home folder cannot be written"):
        open_book("file/book.db")
    (tmp_path / "folder.db").mkdir()
    with pytest.raises(StoreTrouble, match="cannot be opened"):
        open_book("folder.db")


def test_a_book_held_by_another_program_is_told_as_busy(tmp_path: Path, open_book, monkeypatch) -> None:
    book = open_book()
    with book.reading() as view:
        view.connection.exec_driver_sql("PRAGMA busy_timeout=50")
    other = sqlite3.connect(tmp_path / "book.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreTrouble, match="busy"):
        save_recipe(book, None, "text", "name", 0)
    other.execute("ROLLBACK")
    other.close()
    assert save_recipe(book, None, "text", "name", 0).version == 1


def test_a_thread_that_never_ends_its_transaction_makes_the_others_give_up(open_book, monkeypatch) -> None:
    monkeypatch.setattr(engine, "WAIT_S", 0.05)
    book = open_book()
    told: list[str] = []

    def other() -> None:
        with pytest.raises(StoreTrouble) as refused:
            save_recipe(book, None, "text", "name", 0)
        told.append(refused.value.sentence)

    with book.transaction():
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
    untouched = "Nothing was saved just now; what was saved before is untouched."
    assert told == [f"The workshop book is busy. {untouched} Wait a moment, then save again."]


@pytest.mark.parametrize(
    ("state", "expected"), [("53100", "disk of the database server"), ("25006", "write-protected"), ("08006", "lost"),
                            ("40001", "same moment")]
)  # fmt: skip
def test_what_a_database_server_says_is_translated(state: str, expected: str) -> None:
    """SQLSTATE codes of the SQL standard and of PostgreSQL's manual, appendix A (from memory)."""
    said = type("ServerError", (Exception,), {"sqlstate": state})("said by the driver")
    told = engine.trouble(OperationalError("INSERT", {}, said))
    assert told is not None
    assert expected in told.sentence


def test_our_own_mistakes_are_not_blamed_on_the_disk(open_book) -> None:
    book = open_book()
    with pytest.raises(OperationalError) as mistake, book.transaction() as tx:
        tx.connection.execute(text("SELECT name FROM nowhere"))
    assert engine.trouble(mistake.value) is None
    assert isinstance(mistake.value.__cause__, sqlite3.OperationalError)
    with pytest.raises(FileNotFoundError), book.transaction():
        Path("no such file").read_text()
