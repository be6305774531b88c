"""Every book ever written still opens; what is not ours or is newer is left alone."""

from __future__ import annotations

import re
import shutil
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from kettleglass import workshop
from kettleglass.errors import BadInput, KettleglassError
from kettleglass.workshop import NewerBook, NotABook, Notebook, StoreTrouble, save_recipe, schema
from kettleglass.workshop.tables import METADATA

BOOKS = Path(__file__).parents[1] / "notebooks"
# In each: the recipe, the removed recipe with broken text, the lot.
IDS = {
    "0001": ("old00000001", "old00000002", "old00000003"),
    "0002": ("old00000004", "old00000005", "old00000006"),
}


def old_book(tmp_path: Path, layout: str) -> Path:
    return Path(shutil.copy(BOOKS / f"layout-{layout}.db", tmp_path / "book.db"))


def layout_of(path: Path) -> dict[str, str]:
    with sqlite3.connect(path) as raw:
        rows = raw.execute("SELECT type || ' ' || name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    raw.close()
    return {name: re.sub(r"[\s\"]+", " ", sql) for name, sql in rows}


def test_there_is_a_book_of_every_layout() -> None:
    assert sorted(path.stem for path in BOOKS.glob("*.db")) == [f"layout-{revision}" for revision in schema.REVISIONS]


@pytest.mark.parametrize("layout", schema.REVISIONS)
def test_an_old_book_opens_with_all_it_held(tmp_path: Path, open_book, layout: str) -> None:
    old_book(tmp_path, layout)
    ids = IDS[layout]
    book = open_book()
    assert book.check() == ()
    assert [recipe.id for recipe in workshop.list_recipes(book)] == [ids[0]]
    recipe = workshop.load_recipe(book, ids[0])
    assert (recipe.name, recipe.version) == ("Läuterseife № 1", 3)
    assert recipe.text == 'schema = 1\nname = "Läuterseife № 1"\n'
    assert [change.verb for change in workshop.recipe_history(book, ids[0])] == ["save", "save", "undo"]
    assert "mehr Zucker" in workshop.redo_recipe(book, ids[0]).text
    assert workshop.restore_recipe(book, ids[1]).text == "broken = ["
    assert [material.id for material in workshop.list_materials(book)] == ["spirit-96"]
    assert [lot.id for lot in workshop.list_lots(book, "spirit-96")] == [ids[2]]
    drafts = [draft.form for draft in workshop.draft_history(book, ids[0])]
    assert drafts == ([] if layout == "0001" else ['{"text": "half typ', '{"text": "half typed"}'])
    workshop.keep_draft(book, ids[0], "typed today")
    assert book.check() == ()


@pytest.mark.parametrize("layout", schema.REVISIONS[:-1])
def test_a_book_is_copied_before_its_layout_changes(tmp_path: Path, open_book, layout: str) -> None:
    before = layout_of(old_book(tmp_path, layout))
    book = open_book()
    assert book.copied_to is not None
    assert book.copied_to.parent == tmp_path / "backups"
    assert f"layout-{layout}" in book.copied_to.name
    assert layout_of(book.copied_to) == before
    assert layout_of(tmp_path / "book.db") != before
    assert open_book("book.db").copied_to is None


@pytest.mark.parametrize("layout", schema.REVISIONS)
def test_a_migrated_book_has_the_layout_of_a_new_one(tmp_path: Path, open_book, layout: str) -> None:
    old_book(tmp_path, layout)
    for name in ("book.db", "new.db"):
        open_book(name).close()
    migrated, new = layout_of(tmp_path / "book.db"), layout_of(tmp_path / "new.db")
    assert set(migrated) == set(new)
    assert "trigger change_no_delete" in migrated
    book = open_book()
    with book.reading() as view:
        context = MigrationContext.configure(view.connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []


def test_the_list_of_revisions_is_that_of_the_migrations() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(schema.__file__).parent / "migrations"))
    scripts = ScriptDirectory.from_config(config)
    assert [script.revision for script in scripts.walk_revisions()] == list(reversed(schema.REVISIONS))
    assert scripts.get_current_head() == schema.HEAD


def test_a_migration_that_fails_leaves_the_book_as_it_was(tmp_path: Path, open_book) -> None:
    path = old_book(tmp_path, "0001")
    with sqlite3.connect(path) as raw:  # in the way of the second step of the migration
        raw.execute("CREATE INDEX ix_draft_key_id ON change (who)")
    raw.close()
    before = layout_of(path)
    with pytest.raises(Exception, match="ix_draft_key_id already exists"):
        open_book()
    assert layout_of(path) == before
    with sqlite3.connect(path) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchall() == [("0001",)]
    raw.close()
    assert len(list((tmp_path / "backups").iterdir())) == 1


def test_a_newer_book_is_not_touched(tmp_path: Path, open_book) -> None:
    path = old_book(tmp_path, "0002")
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '0999'")
    raw.close()
    with pytest.raises(NewerBook, match="0999"):
        open_book()
    with sqlite3.connect(path) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchall() == [("0999",)]
    raw.close()


def test_somebody_elses_file_is_not_touched(tmp_path: Path, open_book) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear Ada, the bars are clear at last.\n" * 100)
    with sqlite3.connect(tmp_path / "other.db") as raw:
        raw.execute("CREATE TABLE address (name TEXT)")
    raw.close()
    for name in ("letter.txt", "other.db"):
        with pytest.raises(NotABook):
            open_book(name)
    assert letter.read_text() == "Dear Ada, the bars are clear at last.\n" * 100
    assert layout_of(tmp_path / "other.db") == {"table address": "CREATE TABLE address (name TEXT)"}


@pytest.mark.parametrize("damage", [slice(100, 3000), slice(5000, 9000)])
def test_a_damaged_book_says_so(tmp_path: Path, open_book, damage: slice) -> None:
    path = old_book(tmp_path, "0002")
    content = bytearray(path.read_bytes())
    content[damage] = b"\xa5" * (damage.stop - damage.start)
    path.write_bytes(content)
    with pytest.raises((StoreTrouble, NotABook)) as told:
        book = open_book()
        findings = book.check()
        raise StoreTrouble(findings[0].text, remedy=findings[0].advice)
    assert "damaged" in told.value.sentence
    assert "backup" in told.value.sentence


def test_a_new_book_makes_its_folder(tmp_path: Path, open_book) -> None:
    open_book("deep/down/book.db")
    assert (tmp_path / "deep" / "down" / "book.db").exists()


def test_a_book_has_its_safety_settings(open_book) -> None:
    book = open_book()
    with book.reading() as view:
        said = [view.connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in
                ("journal_mode", "foreign_keys", "busy_timeout", "synchronous")]  # fmt: skip
    assert said == ["wal", 1, 5000, 2], "full: an acknowledged entry outlives a power cut"


def test_an_address_opens_the_same_book_as_a_path(tmp_path: Path, open_book, clock) -> None:
    saved = save_recipe(open_book(), None, "text", "name", 0)
    with Notebook.open(f"sqlite:///{tmp_path / 'book.db'}", clock=clock, who="Bea") as again:
        assert again.path == tmp_path / "book.db"
        assert workshop.load_recipe(again, saved.id) == saved
    for nameless in ("", ":memory:", "sqlite://"):
        with pytest.raises(BadInput):
            Notebook.open(nameless, clock=clock, who="Bea")


def test_a_backup_is_one_whole_file_made_while_others_write(tmp_path: Path, open_book) -> None:
    book = open_book()
    saved = save_recipe(book, None, "0", "name", 0)
    stop = threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            save_recipe(book, saved.id, str(number), "name", None)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            copy = book.backup(tmp_path / "safe" / f"copy{number}.db")
            assert copy.exists()
    finally:
        stop.set()
        writer.join()
    assert sorted(path.name for path in copy.parent.iterdir()) == [f"copy{number}.db" for number in range(5)]
    whole = workshop.recipe_history(book, saved.id)
    for number in range(5):
        restored = open_book(f"safe/copy{number}.db")
        part = workshop.recipe_history(restored, saved.id)
        assert part == whole[: len(part)]
        assert restored.check() == ()


def test_a_backup_equals_the_book_and_a_failed_one_spoils_nothing(tmp_path: Path, open_book) -> None:
    book = open_book()
    saved = save_recipe(book, None, "text", "name", 0)
    copy = book.backup(tmp_path / "copy.db")
    first = copy.read_bytes()
    assert workshop.recipe_history(open_book("copy.db"), saved.id) == workshop.recipe_history(book, saved.id)
    with pytest.raises(BadInput):
        book.backup(tmp_path / "book.db")
    with pytest.raises(StoreTrouble):
        book.backup(tmp_path / "copy.db" / "under-a-file.db")
    with book.transaction(), pytest.raises(KettleglassError, match="inside a transaction"):
        book.backup(copy)
    assert first.startswith(b"SQLite format 3\x00")
    assert not list(tmp_path.glob("*.part"))


def test_a_book_in_memory_can_be_backed_up(tmp_path: Path, open_book, clock) -> None:
    with Notebook.in_memory(clock=clock, who="Ada") as book:
        saved = save_recipe(book, None, "text", "name", 0)
        book.backup(tmp_path / "kept.db")
    assert workshop.load_recipe(open_book("kept.db"), saved.id).text == "text"


def loaded_by(code: str) -> set[str]:
    asked = f"import sys\n{code}\nprint(' '.join(sys.modules))"
    return set(subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True).stdout.split())


def test_the_room_loads_no_database_library_until_it_is_used() -> None:
    loaded = loaded_by("import kettleglass.workshop\nfrom kettleglass.workshop import Stale, write_report, Ids")
    assert not loaded & {"sqlalchemy", "alembic", "sqlite3", "numpy"}


def test_a_book_that_is_up_to_date_opens_without_the_migration_library(tmp_path: Path) -> None:
    opening = "from kettleglass.workshop import Notebook, utc_now\nNotebook.open({!r}, clock=utc_now, who='').close()"
    assert "alembic" not in loaded_by(opening.format(str(tmp_path / "new.db")))
    assert "alembic" not in loaded_by(opening.format(str(tmp_path / "new.db")))
    assert "alembic" in loaded_by(opening.format(str(old_book(tmp_path, "0001"))))
