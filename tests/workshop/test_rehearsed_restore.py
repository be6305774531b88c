"""A restore and an import, rehearsed: killed in the middle, the book is the old one or the new one, never a half."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from evidence import safety

from kettleglass.settings import OWN_BOOK


@pytest.mark.parametrize("at_steps", [True, False], ids=["at a step", "at a moment"])
@pytest.mark.parametrize("situation", list(safety.SITUATIONS))
def test_a_killed_act_leaves_the_old_book_or_the_new(situation: str, at_steps: bool) -> None:
    left = list(safety.kill_rounds(situation, 3, random.Random(20261125), at_steps=at_steps))
    assert len(left) == 3
    assert safety.HALF not in left


def test_a_half_would_be_seen(tmp_path: Path) -> None:
    trial = safety.prepare(tmp_path / "home", safety.RESTORE, random.Random(1))
    book = trial.home / OWN_BOOK
    assert safety.judged(trial) == safety.OLD
    half = bytearray((trial.home / safety.COPY).read_bytes())
    half[len(half) // 2 :] = bytes(len(half) - len(half) // 2)
    book.write_bytes(half)
    assert safety.judged(trial) == safety.HALF
    with safety.random_book(tmp_path / "another.db", random.Random(2), entries=3) as another:
        book.unlink()
        another.backup(book)
    assert safety.judged(trial) == safety.HALF
