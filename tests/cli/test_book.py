"""Copies and open files from the command line: what they say, their JSON, and their refusals."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from kettleglass.cli.main import main
from kettleglass.workshop import Notebook, list_recipes, save_recipe, utc_now


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def run_json(*arguments: object) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def save(home: Path, name: str) -> None:
    with Notebook.open(home / "workshop.db", clock=utc_now, who="") as book:
        save_recipe(book, None, "text", name, 0)


def names(path: Path) -> list[str]:
    with Notebook.open(path, clock=utc_now, who="") as book:
        return sorted(recipe.name for recipe in list_recipes(book))


@pytest.fixture
def full(home: Path) -> Path:
    """A home with a book of one recipe."""
    save(home, "first")
    return home


def test_a_copy_is_made_and_put_in_place(full: Path, tmp_path: Path) -> None:
    shown = run("backup").stdout
    assert "backups" in shown and "kB, 1 entry, 1 change in all, the last of 20" in shown
    made = run_json("backup", "-o", tmp_path / "mine.db")
    assert (made["path"], made["entries"], made["changes"]) == (str(tmp_path / "mine.db"), 1, 1)
    assert made["size_bytes"] == (tmp_path / "mine.db").stat().st_size and made["removed"] == []
    save(full, "second")
    shown = run("restore", tmp_path / "mine.db").stdout
    assert "In place: 1 entry, 1 change in all" in shown and "put-aside" in shown
    assert names(full / "workshop.db") == ["first"]
    done = run_json("restore", next((full / "backups").glob("*put-aside*")))
    assert done["entries"] == 2 and Path(done["put_aside"]).is_file()
    assert names(full / "workshop.db") == ["first", "second"]
    (full / "workshop.db").unlink()
    assert "There was no book before." in run("restore", tmp_path / "mine.db").stdout


def test_automatic_copies_are_removed_when_asked(full: Path) -> None:
    run("backup")
    old = full / "backups" / "workshop-layout-0001-20250101T000000.db"
    old.write_bytes(b"x")
    assert f"Removed: {old}" in run("backup", "--keep-automatic", 0).stdout
    assert not old.exists() and len(list((full / "backups").iterdir())) == 2
    assert run("backup", "--keep-automatic", -1).exit_code == 2


def test_everything_is_taken_out_and_in_again(full: Path, tmp_path: Path, monkeypatch) -> None:
    assert "1 changes, 0 drafts, 1 entries, 1 recipes" in run("export", tmp_path / "out").stdout
    out = run_json("export", tmp_path / "out.zip")
    assert out["counts"] == {"changes": 1, "drafts": 0, "entries": 1, "recipes": 1}
    held = run_json("import", tmp_path / "out", "--into", tmp_path / "other.db")
    assert held["book"] == str(tmp_path / "other.db") and held["entries"] == 1
    monkeypatch.setenv("KETTLEGLASS_HOME", str(tmp_path / "new home"))
    assert "workshop.db: 1 entry" in run("import", tmp_path / "out.zip").stdout
    assert names(tmp_path / "new home" / "workshop.db") == ["first"]
    again = run_json("export", tmp_path / "again.zip")
    assert Path(again["path"]).read_bytes() == (tmp_path / "out.zip").read_bytes()


def test_what_cannot_be_done_is_answered_with_what_to_do(full: Path, tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "letter.txt").write_text("Dear Ada")
    run("export", tmp_path / "out.zip")
    for arguments, said in (
        (("restore", tmp_path / "letter.txt"), "no workshop book"),
        (("restore", tmp_path / "none.db"), "There is no file"),
        (("backup", "-o", tmp_path / "letter.txt"), "already"),
        (("export", tmp_path / "letter.txt"), "already"),
        (("import", tmp_path / "out.zip"), "kettleglass restore OTHER.db"),
        (("import", tmp_path / "letter.txt", "--into", tmp_path / "new.db"), "no whole zip file"),
    ):
        result = run(*arguments)
        assert result.exit_code == 2 and said in result.stderr, arguments
    assert (tmp_path / "letter.txt").read_text() == "Dear Ada" and not (tmp_path / "new.db").exists()
    monkeypatch.setenv("KETTLEGLASS_HOME", str(tmp_path / "empty"))
    for command in (("backup",), ("export", tmp_path / "new")):
        assert "no book of your own" in run(*command).stderr
    assert not (tmp_path / "empty").exists()


def test_an_open_book_stays(full: Path, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr("kettleglass.workshop.engine.WAIT_S", 0.05)
    run("backup", "-o", tmp_path / "mine.db")
    with Notebook.open(full / "workshop.db", clock=utc_now, who="") as book:
        save_recipe(book, None, "text", "second", 0)
        result = run("restore", tmp_path / "mine.db")
    assert result.exit_code == 2 and "open in another Kettleglass" in result.stderr
    assert names(full / "workshop.db") == ["first", "second"]
