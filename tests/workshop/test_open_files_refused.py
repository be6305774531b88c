"""Open files that must not become a book: cut, altered, invented, foreign, of a later version, or a trap."""

from __future__ import annotations

import hashlib
import json
import random
import zipfile
from pathlib import Path

import pytest

from kettleglass.workshop import (
    NewerBook,
    Notebook,
    UnusableCopy,
    export_book,
    import_book,
    packed,
    utc_now,
)


def noted(out: Path) -> None:
    """Make the manifest fit to the files, as one who wants to deceive would."""
    manifest = json.loads((out / "manifest.json").read_text())
    for name in list(manifest["files"]):
        content = (out / name).read_bytes() if (out / name).exists() else b""
        manifest["files"][name] = {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
    (out / "manifest.json").write_text(json.dumps(manifest))


def refusal(source: Path) -> str:
    """Why these files are refused; no book may come of them, and nothing may be left."""
    home = source.parent / "new home"
    with pytest.raises((UnusableCopy, NewerBook)) as refused:
        import_book(source, home / "workshop.db", clock=utc_now)
    assert not home.exists() or list(home.iterdir()) == []
    return refused.value.sentence


def edited(out: Path, name: str, old: bytes, new: bytes) -> Path:
    content = (out / name).read_bytes()
    assert old in content
    (out / name).write_bytes(content.replace(old, new, 1))
    return out


@pytest.mark.parametrize(
    "name", ["changes.jsonl", "drafts.jsonl", "entries.csv", "README.txt", "recipes/same-abc.toml"]
)
def test_files_that_changed_are_refused(out: Path, name: str) -> None:
    whole = (out / name).read_bytes()
    for content in (whole[:-1], whole[: len(whole) // 2], whole + b"x", whole.replace(b"e", b"E", 1), b""):
        (out / name).write_bytes(content)
        assert name in refusal(out)
    (out / name).unlink()
    assert "missing" in refusal(out)
    (out / name).symlink_to("/etc/hostname")
    assert "missing" in refusal(out)
    (out / name).unlink()
    (out / name).write_bytes(whole)
    import_book(out, out.parent / "new.db", clock=utc_now)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (b'"version":2', b'"version":3', "version"),
        (b'"id":2,', b'"id":1,', "number"),
        (b'"id":2,', b'"id":true,', "number"),
        (b'"id":8,', b'"id":8888888888,', "number"),
        (b'"verb":"undo"', b'"verb":"save"', "cannot follow"),
        (b'"undo_of":2', b'"undo_of":1', "cannot follow"),
        (b'"verb":"save"', b'"verb":"redo"', "cannot follow"),
        (b'"text":"other"', b'"text":"another"', "checksum"),
        (b'"kind":"recipe"', b'"kind":"Recipe"', "no name"),
        (b'"entity_id":"Gone"', b'"entity_id":"../Gone"', "no name"),
        (b'"who":"Ada"', b'"who":7', "text"),
        (b'"who":"Ada"', b'"whom":"Ada"', "more or less"),
        (b'"who":"Ada"', b'"who":"A\\u0000a"', "text"),
        (b'"at":"2026-03-01T', b'"at":"2026-02-30T', "moment"),
        (b'"at":"2026-03-01T', b'"at":"2026-W1-01T', "moment"),
        (b'"content":null', b'"content":[]', "no object"),
        (b'"content":null', b'"content":{"a":NaN}', "cannot be kept"),
        (b'"content":null', b'"body":"x"', "no JSON object"),
        (b'{"at"', b'[{"at"', "no JSON"),
        (b'{"at"', b"[" * 100_000 + b'{"at"', "no JSON"),
        (b"\n", b"\n[]\n", "no object"),
        (b"\n", b" \n", "not written as"),
    ],
)
def test_a_log_that_nobody_wrote_is_refused_with_its_line(out: Path, old: bytes, new: bytes, said: str) -> None:
    noted(edited(out, "changes.jsonl", old, new))
    told = refusal(out)
    assert said in told and "changes.jsonl" in told and "Nothing was taken in." in told


def test_a_removal_cannot_come_first(out: Path) -> None:
    lines = (out / "changes.jsonl").read_bytes().split(b"\n")
    lines[4] = lines[5].replace(b'"version":2', b'"version":1').replace(b'"id":6', b'"id":5')
    (out / "changes.jsonl").write_bytes(b"\n".join(lines[:5]) + b"\n")
    noted(out)
    assert "line 5" in refusal(out)


@pytest.mark.parametrize(
    ("old", "new"),
    [(b'"key":"', b'"key":"\\n'), (b'"form":"', b'"form":7,"x":"'), (b'"id":1', b'"id":0'), (b"2026-03", b"2026-13"),
     (b'"who":"Ada"', b'"who":null'), (b'"form":"{', b'"form":{}, "x":"{')],
)  # fmt: skip
def test_drafts_that_nobody_typed_are_refused(out: Path, old: bytes, new: bytes) -> None:
    noted(edited(out, "drafts.jsonl", old, new))
    assert "drafts.jsonl: line 1" in refusal(out)


def test_files_that_contradict_each_other_are_refused(out: Path) -> None:
    noted(edited(out, "entries.csv", b"gone", b"went"))
    assert "entries.csv" in refusal(out)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"format": "something else"}, "not a book taken out"),
        ({"format_version": 2}, "later Kettleglass"),
        ({"format_version": "1"}, "names no version"),
        ({"layout": "0999"}, "0999"),
        ({"layout": 2}, "lacks the layout"),
        ({"counts": {"changes": 8, "drafts": 1, "entries": 4, "recipes": 2}}, "counts"),
        ({"counts": {"changes": "8"}}, "count"),
        ({"files": {"../../etc/passwd": {"bytes": 0, "sha256": "0" * 64}}}, "no file of ours"),
        ({"files": {"recipes/../x.toml": {"bytes": 0, "sha256": "0" * 64}}}, "no file of ours"),
        ({"files": {"changes.jsonl": {"bytes": -1, "sha256": "0" * 64}}}, "cannot be read"),
        ({"files": {"changes.jsonl": {"bytes": 1, "sha256": "0" * 63}}}, "cannot be read"),
        ({"files": {}}, "changes.jsonl: it is missing"),
    ],
)
def test_a_foreign_or_later_manifest_is_refused(out: Path, change: dict, said: str) -> None:
    manifest = json.loads((out / "manifest.json").read_text())
    (out / "manifest.json").write_text(json.dumps(manifest | change))
    assert said in refusal(out)


def test_what_is_no_such_folder_or_zip_is_refused(out: Path, tmp_path: Path) -> None:
    (out / "manifest.json").write_text("[" * 100_000)
    assert "no JSON" in refusal(out)
    (out / "manifest.json").write_text("[]")
    assert "not a book taken out" in refusal(out)
    (out / "manifest.json").unlink()
    assert "no manifest.json" in refusal(out)
    (tmp_path / "letter.zip").write_text("Dear Ada")
    assert "no whole zip file" in refusal(tmp_path / "letter.zip")
    assert "nothing at" in refusal(tmp_path / "none.zip")


def test_a_cut_or_flipped_zip_is_refused_or_gives_the_whole_book(zipped: Path, tmp_path: Path) -> None:
    whole = zipped.read_bytes()
    rng = random.Random(20261125)
    refused = 0
    for number in range(60):
        spoilt = bytearray(whole)
        if number % 2:
            del spoilt[rng.randrange(len(whole)) :]
        else:
            spoilt[rng.randrange(len(whole))] ^= 1 << rng.randrange(8)
        path = tmp_path / "spoilt.zip"
        path.write_bytes(spoilt)
        try:
            import_book(path, tmp_path / f"{number}.db", clock=utc_now)
        except UnusableCopy:
            refused += 1
            assert not (tmp_path / f"{number}.db").exists()
        else:  # what was flipped says nothing, such as the date of a file
            with Notebook.open(tmp_path / f"{number}.db", clock=utc_now, who="") as book:
                assert export_book(book, tmp_path / f"{number}.zip").path.read_bytes() == whole
    assert refused > 40


@pytest.mark.parametrize("name", ["../x", "/x", "a/../../x", "..\\x", "C:x", "\\x"])
def test_a_name_that_leads_out_is_refused(zipped: Path, tmp_path: Path, name: str) -> None:
    with zipfile.ZipFile(zipped, "a") as archive:
        archive.writestr(name, b"x")
    assert "leads out" in refusal(zipped)
    assert not list(tmp_path.rglob("x"))


def test_a_name_that_stands_twice_is_refused(zipped: Path) -> None:
    with zipfile.ZipFile(zipped, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr("changes.jsonl", b"")
    assert "twice" in refusal(zipped)


def test_a_file_that_swells_up_is_refused(zipped: Path, out: Path, tmp_path: Path, monkeypatch) -> None:
    bomb = zipfile.ZipFile(tmp_path / "bomb.zip", "w", zipfile.ZIP_DEFLATED)
    with bomb, bomb.open("changes.jsonl", "w") as file:
        for _ in range(120):
            file.write(bytes(1_000_000))
    assert "too large: unpacked they would have 120 MB" in refusal(tmp_path / "bomb.zip")
    for source in (zipped, out):
        with monkeypatch.context() as patch:
            patch.setattr(packed, "MOST_BYTES", 1000)
            assert "too large" in refusal(source)
        with monkeypatch.context() as patch:
            patch.setattr(packed, "MOST_MANIFEST_BYTES", 100)
            assert "too large" in refusal(source)
        with monkeypatch.context() as patch:
            patch.setattr(packed, "MOST_LINE_BYTES", 100)
            patch.setattr(packed, "_PIECE", 64)
            assert "too large: a line of" in refusal(source)


def test_a_zip_that_lies_about_a_size_is_refused(zipped: Path, tmp_path: Path) -> None:
    """The unpacked size stands at byte 24 of an entry of the central directory (PKWARE APPNOTE 4.3.12)."""
    content = bytearray(zipped.read_bytes())
    entry = content.index(b"PK\x01\x02")
    content[entry + 24 : entry + 28] = (5).to_bytes(4, "little")
    (tmp_path / "lies.zip").write_bytes(content)
    assert "another size" in refusal(tmp_path / "lies.zip")
