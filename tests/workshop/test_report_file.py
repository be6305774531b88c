"""The report file: what was typed and what failed, and nothing about whose machine it is."""

from __future__ import annotations

import getpass
import platform
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from kettleglass import __version__
from kettleglass.errors import KettleglassError
from kettleglass.workshop import Notebook, write_report
from kettleglass.workshop.tables import DRAFT

NOW = datetime(2026, 3, 1, 8, 5, 7, tzinfo=UTC)


def failing(home: Path) -> RuntimeError:
    try:
        try:
            (home / "deep" / "missing.toml").read_text()
        except OSError as first:
            raise RuntimeError(f"cannot go on with {home / 'recipe.toml'}") from first
    except RuntimeError as error:
        return error


def test_a_report_keeps_the_input_and_the_trace(tmp_path: Path) -> None:
    typed = {"fats": "coconut 200\nstearic 140", "lye": "1:1.4 — “klar”", "note": ""}
    path = write_report(tmp_path, failing(tmp_path), typed, where="/recipes/new", now=NOW)
    text = path.read_text(encoding="utf-8")
    assert path.parent == tmp_path / "reports"
    assert path.name.startswith("report-20260301T080507Z-")
    for part in ("coconut 200\n    stearic 140", "1:1.4 — “klar”", "/recipes/new", "2026-03-01 08:05:07 UTC",
                 __version__, "RuntimeError", "FileNotFoundError", "in failing"):  # fmt: skip
        assert part in text
    assert list(path.parent.iterdir()) == [path]


def test_a_report_names_no_person_and_no_folder(tmp_path: Path, monkeypatch) -> None:
    home = tmp_path / "home" / "ada-lovage"
    home.mkdir(parents=True)
    monkeypatch.setenv("HOME", str(home))
    path = write_report(home / "Kettleglass", failing(home / "Kettleglass"), "typed", where="save", now=NOW)
    text = path.read_text(encoding="utf-8")
    assert "ada-lovage" not in text
    assert "(home folder)" in text
    assert platform.node() not in text.replace("Kettleglass", "")
    assert f"/{getpass.getuser()}/" not in text
    assert str(Path(__file__).parent) not in text


def test_a_report_leaves_pass_phrases_out(tmp_path: Path) -> None:
    typed = {"name": "kept", "pass_phrase": "hush hush", "csrf-token": "1a2b3c"}
    text = write_report(tmp_path, ValueError("x"), typed, where="x", now=NOW).read_text(encoding="utf-8")
    assert "kept" in text
    assert "hush" not in text
    assert "1a2b3c" not in text


@pytest.mark.parametrize("typed", ["", "half \ud83e pair", "\x00", "x" * 1_000_000, "透明"])
def test_any_input_can_be_reported(tmp_path: Path, typed: str) -> None:
    text = write_report(tmp_path, ValueError("x"), typed, where="x", now=NOW).read_text(encoding="utf-8")
    assert typed.replace("\ud83e", "\\ud83e") in text


def test_two_failures_in_one_second_make_two_reports(tmp_path: Path) -> None:
    made = {write_report(tmp_path, ValueError("x"), "", where="x", now=NOW) for _ in range(5)}
    assert len(made) == 5


def test_a_report_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "reports").write_text("in the way")
    with pytest.raises(KettleglassError, match=r"could not be written.*Copy your text"):
        write_report(tmp_path, ValueError("x"), "", where="x", now=NOW)


def test_a_failure_inside_the_book_is_reported_without_the_book(tmp_path: Path, clock) -> None:
    with (
        Notebook.in_memory(clock=clock, who="Ada Lovage") as book,
        pytest.raises(IntegrityError) as failure,
        book.transaction() as tx,
    ):
        tx.connection.execute(insert(DRAFT).values(key="k", who=tx.who, form="x"))
    text = write_report(tmp_path, failure.value, {"text": "typed"}, where="x", now=NOW).read_text(encoding="utf-8")
    assert "sqlite3.IntegrityError: NOT NULL constraint failed: draft.at" in text
    assert "Lovage" not in text
