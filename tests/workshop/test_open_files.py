"""The whole book as open files, out and in again; and files that must not become a book."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import random
import shutil
import tempfile
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from evidence import safety
from hypothesis import given
from hypothesis import strategies as st

from kettleglass import workshop
from kettleglass.workshop import (
    Ids,
    Notebook,
    NothingToUndo,
    Taken,
    UnusableCopy,
    export_book,
    import_book,
    openfiles,
    save_recipe,
    utc_now,
)
from kettleglass.workshop.tables import CHANGE, DRAFT, ENTITY

OLD_BOOKS = Path(__file__).parents[1] / "notebooks"
TEXTS = st.text(alphabet=st.characters(), max_size=12)
NAMES = st.one_of(TEXTS, st.sampled_from(["klar", "Klär", "=1+1", "x" * 300]))
JSON = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False, allow_infinity=False), TEXTS),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=6,
)
STEPS = st.one_of(
    st.tuples(st.just("save"), st.sampled_from("abAB"), NAMES, TEXTS),
    st.tuples(st.sampled_from(("undo", "redo", "remove", "restore")), st.sampled_from("abAB")),
    st.tuples(st.just("material"), st.dictionaries(TEXTS, JSON, max_size=4)),
    st.tuples(st.just("draft"), st.sampled_from("kl"), TEXTS),
    st.tuples(st.just("clear"), st.sampled_from("kl")),
)
VERBS = {"undo": workshop.undo_recipe, "redo": workshop.redo_recipe, "remove": workshop.remove_recipe,
         "restore": workshop.restore_recipe}  # fmt: skip


def do(book: Notebook, step: tuple) -> None:
    """One step; one that the book refuses changes nothing."""
    verb, *rest = step
    try:
        if verb == "save":
            which, name, text = rest
            save_recipe(book, which, text, name, None)
        elif verb == "material":
            workshop.save_material(book, None, rest[0], 0)
        elif verb == "draft":
            workshop.keep_draft(book, *rest)
        elif verb == "clear":
            workshop.clear_draft(book, *rest)
        else:
            VERBS[verb](book, rest[0])
    except (workshop.NoSuchEntry, NothingToUndo):
        pass


def told_clock():
    seconds = count()
    return lambda: datetime(2026, 3, 1, tzinfo=UTC) + timedelta(seconds=next(seconds))


def rows(book: Notebook) -> list[list[tuple]]:
    with book.reading() as view:
        return [sorted(map(tuple, view.connection.execute(table.select()))) for table in (CHANGE, ENTITY, DRAFT)]


@given(st.lists(STEPS, max_size=25), TEXTS, st.booleans())
def test_taken_in_and_out_again_a_book_has_the_same_bytes(steps: list[tuple], who: str, packed: bool) -> None:
    clock = told_clock()
    with tempfile.TemporaryDirectory() as folder, Notebook.in_memory(clock=clock, who=who) as book:
        home = Path(folder)
        book.new_id = Ids(clock, lambda bits: 0)
        for step in steps:
            do(book, step)
        out = export_book(book, home / "out.zip")
        source = out.path if packed else export_book(book, home / "out").path
        held = import_book(source, home / "new.db", clock=utc_now)
        with Notebook.open(home / "new.db", clock=utc_now, who="") as again:
            assert again.check() == ()
            assert rows(again) == rows(book)
            export_book(again, home / "again.zip")
        assert (home / "again.zip").read_bytes() == out.path.read_bytes()
        assert held.changes == out.counts["changes"]
        assert not list(home.glob(".kettleglass-*"))


@pytest.mark.parametrize("layout", ["0001", "0002"])
def test_every_old_book_can_be_taken_out_and_in(tmp_path: Path, open_book, layout: str) -> None:
    shutil.copy(OLD_BOOKS / f"layout-{layout}.db", tmp_path / "book.db")
    first = export_book(open_book(), tmp_path / "out.zip")
    import_book(first.path, tmp_path / "new.db", clock=utc_now)
    assert export_book(open_book("new.db"), tmp_path / "again.zip").path.read_bytes() == first.path.read_bytes()


def test_the_files_can_be_read_without_the_program(out: Path) -> None:
    """JSON lines (jsonlines.org: UTF-8, one value a line), CSV (RFC 4180: CRLF, quotes doubled)."""
    changes = [json.loads(line) for line in (out / "changes.jsonl").read_bytes().split(b"\n")[:-1]]
    assert [change["verb"] for change in changes][:4] == ["save", "save", "undo", "redo"]
    assert changes[0]["content"]["text"] == 'name = "Läuterseife"\r\n'
    compact = json.dumps(changes[0]["content"], ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    assert changes[0]["sha"] == hashlib.sha256(compact.encode()).hexdigest()
    table = (out / "entries.csv").read_bytes().decode("utf-8")
    entries = list(csv.DictReader(io.StringIO(table, newline="")))
    assert [(entry["name"], entry["removed"]) for entry in entries] == [
        ("'=HYPERLINK(1)", "no"), ("gone", "yes"), ("Same", "no"), ("Same", "no"),
    ]  # fmt: skip
    assert table.count("\r\n") == 5
    recipes = sorted(path.name for path in (out / "recipes").iterdir())
    assert recipes[1:] == ["same-abc-2.toml", "same-abc.toml"] and recipes[0].startswith("hyperlink-1-")
    assert (out / "recipes" / "same-abc-2.toml").read_text() == "text of ABC"
    manifest = json.loads((out / "manifest.json").read_text())
    assert manifest["counts"] == {"changes": 8, "drafts": 1, "entries": 4, "recipes": 3}
    found = {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}
    assert {name: note["sha256"] for name, note in manifest["files"].items()} == {
        name: hashlib.sha256(content).hexdigest() for name, content in found.items() if name != "manifest.json"
    }
    readme = (out / "README.txt").read_text()
    assert all(name in readme for name in ("changes.jsonl", "drafts.jsonl", "entries.csv", "recipes/", *changes[0]))


def test_nothing_is_written_over(out: Path, open_book, tmp_path: Path) -> None:
    book = open_book()
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    with pytest.raises(Taken):
        export_book(book, out)
    (tmp_path / "letter.zip").write_text("Dear Ada")
    with pytest.raises(Taken):
        export_book(book, tmp_path / "letter.zip")
    assert before == {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    (tmp_path / "empty").mkdir()
    assert export_book(book, tmp_path / "empty").counts["changes"] == 8
    with pytest.raises(UnusableCopy, match=r"a book at .*book\.db already"):
        import_book(out, tmp_path / "book.db", clock=utc_now)


def test_strange_files_beside_ours_do_no_harm(out: Path, tmp_path: Path) -> None:
    (out / ".DS_Store").write_bytes(b"x")
    (out / "recipes" / "Thumbs.db").write_bytes(b"x")
    assert import_book(out, tmp_path / "new.db", clock=utc_now).changes == 8


def test_a_body_that_was_written_otherwise_is_kept_as_it_is(open_book, tmp_path: Path) -> None:
    book, body = open_book(), '{"name": "spaced",  "text": "x", "n": 1e2}'
    sha = hashlib.sha256(body.encode()).hexdigest()
    saved = save_recipe(book, None, "x", "name", 0)
    with book.transaction() as tx:
        row = {"id": 2, "at": tx.at, "who": "", "kind": "recipe", "entity_id": saved.id, "version": 2}
        tx.connection.execute(CHANGE.insert().values(**row, verb="save", body=body, sha=sha))
        workshop.replay.rebuild(tx)
    first = export_book(book, tmp_path / "out.zip")
    import_book(first.path, tmp_path / "new.db", clock=utc_now)
    assert rows(open_book("new.db")) == rows(book)


def test_a_large_random_book_comes_back(tmp_path: Path) -> None:
    with safety.random_book(tmp_path / "book.db", random.Random(7), entries=15) as book:
        first = export_book(book, tmp_path / "out.zip")
        content = safety.content_of(book)
    import_book(first.path, tmp_path / "new.db", clock=utc_now)
    with Notebook.open(tmp_path / "new.db", clock=utc_now, who="") as again:
        assert safety.content_of(again) == content
    assert openfiles.FREELY_BYTES > first.size_bytes
