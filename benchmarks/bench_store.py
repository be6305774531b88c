"""Recording one entry in the workshop book against bare sqlite3, in one run.

Run: python benchmarks/bench_store.py [entries]. Prints milliseconds and ratios. "one row" inserts and
commits a single row; "same SQL" sends the statements that recording a new entry sends. All kinds take
turns, so that a busy machine slows them alike.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path

from kettleglass.workshop import Notebook, load_recipe, save_recipe, utc_now

WARM_UP = 50
TEXT = 'schema = 1\nname = "Invented base"\n' + 'fats = "coconut 200, stearic 140, castor 60"\n' * 40


def milliseconds(act: Callable[[], object]) -> float:
    """The time one call took."""
    start = time.perf_counter()
    act()
    return 1000 * (time.perf_counter() - start)


def bare_book(path: Path) -> sqlite3.Connection:
    """A table like that of the log, in a file with the settings of the book."""
    raw = sqlite3.connect(path, isolation_level=None)
    for setting in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        raw.execute(f"PRAGMA {setting}")
    raw.execute("CREATE TABLE entry (id INTEGER PRIMARY KEY, at TEXT, who TEXT, body TEXT)")
    return raw


def one_row(raw: sqlite3.Connection, number: int) -> None:
    """One row, kept."""
    body = json.dumps({"name": str(number), "text": TEXT})
    raw.execute("BEGIN IMMEDIATE")
    raw.execute("INSERT INTO entry (at, who, body) VALUES (?, ?, ?)", (str(utc_now()), "Ada", body))
    raw.execute("COMMIT")


def same_sql(raw: sqlite3.Connection, number: int) -> None:
    """What recording a new recipe sends, sent by hand to the tables of a book."""
    body, now, new = json.dumps({"name": str(number), "text": TEXT}), str(utc_now())[:27], f"r{number}"
    raw.execute("BEGIN IMMEDIATE")
    raw.execute("SELECT version, change_id FROM entity WHERE kind = ? AND id = ?", ("recipe", new)).fetchone()
    sha = hashlib.sha256(body.encode()).hexdigest()
    row = (now, "Ada", "recipe", new, 1, "save", body, sha)
    columns = "at, who, kind, entity_id, version, verb, body, sha"
    change = raw.execute(f"INSERT INTO change ({columns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id", row).fetchone()
    state = ("recipe", new, 1, change[0], str(number), body, now, 0)
    raw.execute("INSERT INTO entity VALUES (?, ?, ?, ?, ?, ?, ?, ?)", state)
    raw.execute("COMMIT")


def at_share(times: list[float], share: float) -> float:
    """The time below which a share of the calls stayed."""
    return sorted(times)[int(share * (len(times) - 1))]


def measured(entries: int, folder: Path) -> dict[str, list[float]]:
    """Milliseconds of every call, by kind."""
    times: dict[str, list[float]] = {"one row": [], "same SQL": [], "new": [], "changed": [], "loaded": []}
    Notebook.open(folder / "by-hand.db", clock=utc_now, who="Ada").close()
    with (
        Notebook.open(folder / "book.db", clock=utc_now, who="Ada") as book,
        closing(bare_book(folder / "bare.db")) as bare,
        closing(sqlite3.connect(folder / "by-hand.db", isolation_level=None)) as by_hand,
    ):
        by_hand.execute("PRAGMA synchronous=FULL")
        by_hand.execute("PRAGMA foreign_keys=ON")
        kept = save_recipe(book, None, TEXT, "changed again and again", 0)
        for number in range(entries + WARM_UP):
            taken = (
                milliseconds(partial(one_row, bare, number)),
                milliseconds(partial(same_sql, by_hand, number)),
                milliseconds(partial(save_recipe, book, None, TEXT, str(number), 0)),
                milliseconds(partial(save_recipe, book, kept.id, TEXT, str(number), number + 1)),
                milliseconds(partial(load_recipe, book, kept.id)),
            )
            for kind, one in zip(times, taken, strict=True) if number >= WARM_UP else ():
                times[kind].append(one)
    return times


def main(entries: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        times = measured(entries, Path(folder))
    for kind, taken in times.items():
        print(f"{kind:8}", end="")
        for share in (0.5, 0.95):
            ms, row, sql = (at_share(some, share) for some in (taken, times["one row"], times["same SQL"]))
            print(f"  p{100 * share:.0f} {ms:6.3f} ms = {ms / row:5.1f} x one row, {ms / sql:4.1f} x same SQL", end="")
        print()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
