"""kill -9 at random moments: what was acknowledged is there, the book is sound and goes on."""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kettleglass import workshop
from kettleglass.workshop import draft_history, load_recipe, recipe_history, save_recipe, schema

WRITER = Path(__file__).parent / "endless_writer.py"
OLD_BOOK = Path(__file__).parents[1] / "notebooks" / "layout-0001.db"
OPENING = (
    "import sys; from kettleglass.workshop import Notebook, utc_now; print('go', flush=True);"
    "Notebook.open(sys.argv[1], clock=utc_now, who='Ada').close()"
)


def killed_after(command: list[str], wait_s: float) -> list[str]:
    """The whole lines that a program printed until it was killed `wait_s` after its first."""
    with subprocess.Popen([sys.executable, *command], stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        first = program.stdout.readline()
        time.sleep(wait_s)
        program.kill()
        rest = program.stdout.read()
    return [line for line in (first + rest).splitlines(keepends=True) if line.endswith("\n")]


def test_every_acknowledged_entry_survives(tmp_path: Path, open_book) -> None:
    rng, acknowledged = random.Random(20260301), 0
    for kill in range(4):
        lines = killed_after([str(WRITER), str(tmp_path / "book.db"), str(10 * kill)], rng.uniform(0.05, 0.6))
        book = open_book()
        assert book.check() == ()
        for kind, key, number, text in (line.split() for line in lines):
            acknowledged += 1
            if kind == "recipe":
                assert load_recipe(book, key, int(number)).text.split()[0] == text
            else:
                assert int(number) <= draft_history(book, key)[-1].number
        for recipe in workshop.list_recipes(book):
            versions = [change.version for change in recipe_history(book, recipe.id)]
            assert versions == list(range(1, len(versions) + 1))
        assert save_recipe(book, None, "goes on", "name", 0).version == 1
        book.close()
    assert acknowledged > 50


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_book_killed_while_migrating_opens_again(tmp_path: Path, open_book, seed: int) -> None:
    shutil.copy(OLD_BOOK, tmp_path / "book.db")
    killed_after(["-c", OPENING, str(tmp_path / "book.db")], random.Random(seed).uniform(0.2, 1.0))
    book = open_book()
    assert book.check() == ()
    with book.reading() as view:
        assert schema.stored_revision(view.connection) == schema.HEAD
    assert [recipe.name for recipe in workshop.list_recipes(book)] == ["Läuterseife № 1"]
