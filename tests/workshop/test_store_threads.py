"""Many threads, two programs, one book: every write counts once, every look sees one moment."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from kettleglass.workshop import (
    Notebook,
    Stale,
    changes,
    keep_draft,
    list_recipes,
    load_recipe,
    recipe_history,
    save_recipe,
)


def together(*jobs: Callable[[], object]) -> None:
    """Run the jobs at the same time; the first error of any is raised."""
    start = threading.Barrier(len(jobs))

    def run(job: Callable[[], object]) -> None:
        start.wait()
        job()

    with ThreadPoolExecutor(len(jobs)) as pool:
        for done in [pool.submit(run, job) for job in jobs]:
            done.result()


def test_two_writers_of_one_recipe_lose_no_line(book: Notebook) -> None:
    saved = save_recipe(book, None, "", "shared", 0)

    def add_lines(who: str) -> None:
        signed = book.signed_by(who)
        for number in range(30):
            while True:
                seen = load_recipe(signed, saved.id)
                try:
                    save_recipe(signed, saved.id, f"{seen.text}{who}{number}\n", "shared", seen.version)
                    break
                except Stale:
                    continue

    together(lambda: add_lines("ada"), lambda: add_lines("bea"))
    lines = load_recipe(book, saved.id).text.split()
    for who in ("ada", "bea"):
        assert [line for line in lines if line.startswith(who)] == [f"{who}{number}" for number in range(30)]
    log = recipe_history(book, saved.id)
    assert [change.version for change in log] == list(range(1, 62))
    assert {change.who for change in log} == {"Ada", "ada", "bea"}


def test_of_many_who_started_from_one_version_one_wins_and_the_rest_are_told(book: Notebook) -> None:
    saved = save_recipe(book, None, "begun", "shared", 0)
    refused: list[Stale] = []

    def write(number: int) -> None:
        try:
            save_recipe(book, saved.id, f"by {number}", "shared", 1)
        except Stale as stale:
            refused.append(stale)

    together(*(lambda number=number: write(number) for number in range(8)))
    won = load_recipe(book, saved.id)
    assert won.version == 2
    assert {stale.given["text"] for stale in refused if stale.given} | {won.text} == {f"by {n}" for n in range(8)}
    assert len(refused) == 7


def test_a_look_sees_one_moment_while_others_write(open_book) -> None:
    book = open_book()
    ids = [save_recipe(book, None, "0", "pair", 0).id for _ in range(2)]
    stop = threading.Event()

    def write_pairs() -> None:
        for number in range(1, 20):
            with book.transaction():
                for recipe_id in ids:
                    save_recipe(book, recipe_id, str(number), "pair", None)
        stop.set()

    def look() -> None:
        while not stop.is_set():
            with book.reading():
                first = load_recipe(book, ids[0])
                second = load_recipe(book, ids[1])
            assert (first.text, first.version) == (second.text, second.version)

    together(write_pairs, look, look)


def test_forty_threads_at_once_as_a_web_server_has_them(book: Notebook) -> None:
    def work(number: int) -> None:
        saved = save_recipe(book, None, f"{number}", f"recipe {number}", 0)
        keep_draft(book, saved.id, f"draft {number}")
        assert load_recipe(book, saved.id).text == f"{number}"

    together(*(lambda number=number: work(number) for number in range(40)))
    assert {recipe.name for recipe in list_recipes(book)} == {f"recipe {number}" for number in range(40)}


def test_the_same_new_id_twice_at_once_is_made_once(book: Notebook) -> None:
    told: list[Stale] = []

    def make(who: str) -> None:
        try:
            with book.transaction() as tx:
                changes.append(tx, "thing", "same", "save", {"name": who}, expected_version=0)
        except Stale as stale:
            told.append(stale)

    together(lambda: make("one"), lambda: make("two"))
    assert len(told) == 1
    assert told[0].latest is not None
    assert {told[0].latest.content["name"], told[0].given["name"]} == {"one", "two"}


OPEN_AND_WRITE = """
import sys
from kettleglass.workshop import Notebook, save_recipe, utc_now
with Notebook.open(sys.argv[1], clock=utc_now, who=sys.argv[2]) as book:
    for number in range(40):
        save_recipe(book, None, f"{number}", sys.argv[2], 0)
"""


@pytest.mark.parametrize("exists", [False, True])
def test_two_programs_may_make_and_fill_one_book(tmp_path: Path, open_book, exists: bool) -> None:
    if exists:
        open_book().close()
    command = [sys.executable, "-W", "error", "-c", OPEN_AND_WRITE, str(tmp_path / "book.db")]
    running = [subprocess.Popen([*command, who], stderr=subprocess.PIPE, text=True) for who in ("one", "two")]
    assert [program.communicate()[1] for program in running] == ["", ""]
    book = open_book()
    assert sorted(recipe.name for recipe in list_recipes(book)) == ["one"] * 40 + ["two"] * 40
    assert book.check() == ()
