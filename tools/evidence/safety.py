"""Restores and imports of random books, killed in the middle (kill -9): the old book or the new one, never a half."""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from kettleglass.errors import KettleglassError
from kettleglass.settings import OWN_BOOK
from kettleglass.workshop import (
    Ids,
    Notebook,
    copy_recipe,
    export_book,
    keep_draft,
    list_copies,
    redo_recipe,
    remove_recipe,
    restore_book,
    restore_recipe,
    save_recipe,
    undo_recipe,
    utc_now,
)
from kettleglass.workshop.export import Digests, write_out

ROUNDS = 150
"""Kills of each kind."""
COPY, FILES, DAMAGED = "copy.db", "taken-out.zip", "damaged.bin"
RESTORE, MEND, IMPORT = "restore", "mend", "import"
SITUATIONS = {
    RESTORE: "a copy put in the place of a sound book",
    MEND: "a copy put in the place of a damaged file",
    IMPORT: "open files taken into a home without a book",
}
OLD, NEW, HALF = "old", "new", "half"

ACTING = """
import os, signal, sys, time
from pathlib import Path
from kettleglass.workshop import import_book, restore_book, utc_now
what, home, at = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
left = [0]
STEPS = ("open", "sqlite3.connect", "os.rename", "os.link", "os.remove", "os.mkdir", "os.rmdir", "shutil.rmtree")
def step(event, arguments):
    if event in STEPS and left:
        left[0] += 1
        if left[0] == at:
            os.kill(os.getpid(), getattr(signal, "SIGKILL", signal.SIGTERM))
sys.addaudithook(step)
print("go", flush=True)
left[0], begun = 0, time.perf_counter()
if what == "import":
    import_book(home / "taken-out.zip", home / "workshop.db", clock=utc_now)
else:
    restore_book(home / "workshop.db", home / "copy.db", clock=utc_now)
print(left.pop(), time.perf_counter() - begun, flush=True)
"""
"""Does the act in a process of its own. Given a number, it kills itself at that many steps at the file system."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A home before the act, and the content of its book before and after."""

    home: Path
    situation: str
    old: str
    new: str


def report(seed: int) -> str:
    """Tables of what stood in the place of the book after each kill."""
    rng = random.Random(seed)  # noqa: S311 - it draws moments, not secrets
    rows = []
    for situation, words in SITUATIONS.items():
        for at_steps in (True, False):
            found = Counter(kill_rounds(situation, ROUNDS, rng, at_steps=at_steps))
            how = "at a random step at the file system" if at_steps else "at a random moment"
            rows.append(f"| {words} | {how} | {sum(found.values())} | {found[OLD]} | {found[NEW]} | {found[HALF]} |")
    head = "| Act | Killed | Rounds | Old book | New book | Half |\n|---|---|---|---|---|---|"
    return f"{_HOW}\n\n" + "\n".join([head, *rows])


_HOW = (
    "Every round makes a new home, starts the act in a process of its own and kills that with kill -9: either at one of"
    " the steps it takes at the file system (opening, linking, renaming, removing), or at a moment drawn from the last"
    " half of the time that the act takes. Afterwards the book is opened, which brings it in order as it does after a"
    " power cut; its own check and that of the log against what is listed must find nothing, and all of its changes and"
    " drafts must be those of the old book, byte for byte, or all those of the new. A damaged file counts as the"
    " old book while it has its old bytes. Before a home has a book, “old” means that there is none. Where the old"
    " book is left, the restore must then work when it is done once more; where the new book stands, the old one must"
    " be among the copies. What fails in any of this is counted as half."
)


def kill_rounds(situation: str, rounds: int, rng: random.Random, *, at_steps: bool) -> Iterator[str]:
    """What each round left: `OLD`, `NEW` or `HALF`."""
    with tempfile.TemporaryDirectory() as folder:
        model = prepare(Path(folder) / "model", situation, rng)
        with _fresh(model) as trial:
            _, steps, lasts_s = _act(trial, 0, None).split()
        for _ in range(rounds):
            with _fresh(model) as trial:
                if at_steps:
                    _act(trial, rng.randint(1, int(steps)), None)
                else:
                    _act(trial, 0, rng.uniform(0.5, 1.1) * float(lasts_s))
                yield judged(trial)


def prepare(home: Path, situation: str, rng: random.Random) -> Prepared:
    """A home with what the act needs: a book of random content (damaged, none), a copy and open files of another."""
    home.mkdir()
    with random_book(home / "other.db", rng) as other:
        new = content_of(other)
        other.backup(home / COPY)
        export_book(other, home / FILES)
    (home / "other.db").unlink()
    old = "none"
    if situation != IMPORT:
        with random_book(home / OWN_BOOK, rng) as book:
            old = content_of(book)
    if situation == MEND:
        (home / DAMAGED).write_bytes(rng.randbytes(100_000))
        shutil.copy(home / DAMAGED, home / OWN_BOOK)
        old = "damaged"
    return Prepared(home, situation, old, new)


def judged(trial: Prepared) -> str:
    """What stands in the place of the book, and whether everything around it is as it must be."""
    book = trial.home / OWN_BOOK
    try:
        found = _found(trial)
        if trial.situation == IMPORT:
            return found
        if found == OLD:
            restore_book(book, trial.home / COPY, clock=utc_now)
        return found if _content_at(book) == trial.new and _is_put_aside(trial) else HALF
    except KettleglassError:
        return HALF


def _is_put_aside(trial: Prepared) -> bool:
    """Whether every copy is whole, and one holds the old book."""
    copies = [copy.path for copy in list_copies(trial.home / OWN_BOOK)]
    if trial.situation == MEND:
        return (trial.home / DAMAGED).read_bytes() in [path.read_bytes() for path in copies]
    return trial.old in [_content_at(path) for path in copies]


def _found(trial: Prepared) -> str:
    book = trial.home / OWN_BOOK
    if not book.exists():
        return OLD if trial.old == "none" else HALF
    try:
        content = _content_at(book)
    except KettleglassError:
        damaged = trial.home / DAMAGED
        content = "damaged" if damaged.exists() and book.read_bytes() == damaged.read_bytes() else ""
    return {trial.old: OLD, trial.new: NEW}.get(content, HALF)


def _content_at(book: Path) -> str:
    with Notebook.open(book, clock=utc_now, who="") as opened:
        return "unsound" if opened.check() else content_of(opened)


def content_of(book: Notebook) -> str:
    """One digest of every file that the book is taken out as."""
    digests = Digests()
    write_out(book, digests)
    return " ".join(f"{name} {note.sha256}" for name, note in sorted(digests.notes.items()))


@contextmanager
def random_book(path: Path, rng: random.Random, entries: int = 40) -> Iterator[Notebook]:
    """A book of recipes saved, changed, undone, removed and copied at random, with drafts; some megabytes."""
    with Notebook.open(path, clock=utc_now, who=rng.choice(("Ada", "", "Bé"))) as book:
        book.new_id = Ids(utc_now, rng.getrandbits)
        with book.transaction():
            for number in range(entries):
                _entry(book, rng, number)
        yield book


def _entry(book: Notebook, rng: random.Random, number: int) -> None:
    recipe = save_recipe(book, None, _text(rng), f"Läuterseife {number}", 0)
    for _ in range(rng.randint(0, 4)):
        saved = save_recipe(book, recipe.id, _text(rng), rng.choice(("klar", "透明", "=1+1")), None)
        if rng.random() < 0.4:
            undo_recipe(book, recipe.id)
            if rng.random() < 0.5:
                redo_recipe(book, recipe.id)
        if rng.random() < 0.3:
            keep_draft(book, recipe.id, saved.text[:50])
    if rng.random() < 0.3:
        copy_recipe(book, recipe.id, "a copy")
    if rng.random() < 0.3:
        remove_recipe(book, recipe.id)
        if rng.random() < 0.5:
            restore_recipe(book, recipe.id)


def _text(rng: random.Random) -> str:
    return f"{rng.random()}\n" + rng.choice(("x", "ß\u2028", "\t\"'\\")) * rng.choice((1, 100, 20_000))


@contextmanager
def _fresh(model: Prepared) -> Iterator[Prepared]:
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        shutil.copytree(model.home, home)
        yield Prepared(home, model.situation, model.old, model.new)


def _act(trial: Prepared, at: int, after_s: float | None) -> str:
    """Do the act, killed at a step, after some time, or (0, None) not at all; what it printed."""
    command = [sys.executable, "-c", ACTING, trial.situation, str(trial.home), str(at)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        if program.stdout is None:
            raise RuntimeError("the act has no output")
        said = program.stdout.readline()
        if after_s is not None:
            time.sleep(after_s)
            program.kill()
        return said + program.stdout.read()
